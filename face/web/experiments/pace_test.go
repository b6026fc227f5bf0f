package experiments

import (
	"testing"
	"time"
)

func TestPace(t *testing.T) {
	for _, c := range []struct {
		played, left int
		took         time.Duration
		want         string
	}{
		{0, 1000, time.Minute, ""}, {640, 1000, time.Millisecond, ""},
		{6000, 0, time.Minute, "100 deals a second."},
		{6000, 3000, time.Minute, "100 deals a second, less than a minute left."},
		{6000, 6000, time.Minute, "100 deals a second, about 1 minute left."},
		{6000, 60000, time.Minute, "100 deals a second, about 10 minutes left."},
		{6000, 3_600_000, time.Minute, "100 deals a second, about 10 hours left."},
	} {
		if got := pace(c.played, c.left, c.took); got != c.want {
			t.Errorf("%d deals in %v, %d left: %q, wanted %q", c.played, c.took, c.left, got, c.want)
		}
	}
}
