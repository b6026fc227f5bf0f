package compose

import (
	"fmt"
	"os"
	"testing"
	"time"
)

func TestExplore(t *testing.T) {
	for seed := uint64(1); seed < 4; seed++ {
		st := time.Now()
		text, rep, err := Draw(seed, Options{})
		if err != nil {
			t.Fatal(err)
		}
		fmt.Println(text)
		fmt.Printf("%+v\n", rep)
		fmt.Println(time.Since(st))
		os.WriteFile("/tmp/lantern.card", []byte(text), 0o644)
	}
}
