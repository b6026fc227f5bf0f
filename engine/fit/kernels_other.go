//go:build !amd64

package fit

const fastest = portable

// The kernels of other processors are those in Go, which are used where these are not: nothing here is ever called.

func loadAVX2(dst, base *uint8, blocks int, rows **uint8, n, jokers int) int   { panic(noKernel) }
func loadAVX512(dst, base *uint8, blocks int, rows **uint8, n, jokers int) int { panic(noKernel) }
func addAVX512(dst, src, row *uint8, blocks int)                               { panic(noKernel) }
func sum1AVX512(states *uint8, rows **uint8, n, blocks int, weights *uint8, out *int64) {
	panic(noKernel)
}
func sum2AVX512(states *uint8, rows **uint8, n, blocks int, weights *uint8, out *int64) {
	panic(noKernel)
}
func sum3AVX512(states *uint8, rows **uint8, n, blocks int, weights *uint8, out *int64) {
	panic(noKernel)
}
func sum4AVX512(states *uint8, rows **uint8, n, blocks int, weights *uint8, out *int64) {
	panic(noKernel)
}
func tallAVX512(states *uint8, rows **uint8, n int, list *int32, listed int, weights *uint8, shift int, out *int64) {
	panic(noKernel)
}
func trackAVX2(states, costs *uint8, blocks int, less, more **uint8, n int, prices *uint8) int {
	panic(noKernel)
}
func trackAVX512(states, costs *uint8, blocks int, less, more **uint8, n int, prices *uint8) int {
	panic(noKernel)
}
func belowAVX2(costs *uint8, blocks, limit int, marks *uint64)   { panic(noKernel) }
func belowAVX512(costs *uint8, blocks, limit int, marks *uint64) { panic(noKernel) }

const noKernel = "fit: a kernel of another processor"
