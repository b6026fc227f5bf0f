// Package live is simulations that pages start and watch: started by a key, told of as they tighten, stopped when nobody
// watches, or kept on until their end.
//
// It knows nothing of requests and nothing of what is simulated; the areas of face/web call it.
package live
