package compose

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"
)

func TestExplore(t *testing.T) {
	from, _ := strconv.Atoi(os.Getenv("FROM"))
	to, _ := strconv.Atoi(os.Getenv("TO"))
	for seed := uint64(from); seed < uint64(to); seed++ {
		st := time.Now()
		text, rep, err := Draw(seed, Options{})
		if err != nil {
			fmt.Println(err)
			continue
		}
		if os.Getenv("Q") == "" {
			for _, l := range strings.Split(text, "\n") {
				a, b, _ := strings.Cut(l, " ; note ")
				fmt.Printf("%s   | %s\n", a, b)
			}
		}
		for _, s := range rep.Sections {
			fmt.Printf("  %+v\n", s)
		}
		rep.Sections = nil
		fmt.Printf("seed %d %+v\n", seed, rep)
		fmt.Println(time.Since(st))
		os.WriteFile("/tmp/lantern.card", []byte(text), 0o644)
	}
}
