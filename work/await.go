package work

import "context"

// Await is what f gives, or the error of ctx where that ends first: f, which takes seconds, knows no ctx and changes nothing,
// is then left behind.
func Await[R any](ctx context.Context, f func() (R, error)) (R, error) {
	type outcome struct {
		result R
		err    error
	}
	made := make(chan outcome, 1)
	go func() {
		result, err := f()
		made <- outcome{result, err}
	}()
	select {
	case o := <-made:
		return o.result, o.err
	case <-ctx.Done():
		var none R
		return none, ctx.Err()
	}
}
