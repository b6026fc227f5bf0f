package fit

import "golang.org/x/sys/cpu"

// fastest is the highest level that processor and system allow.
var fastest = func() level {
	switch x := &cpu.X86; {
	case x.HasAVX512F && x.HasAVX512BW && x.HasAVX512VL && x.HasAVX512VBMI && x.HasAVX2:
		return withAVX512
	case x.HasAVX2:
		return withAVX2
	}
	return portable
}()
