package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"time"
)

// jobs are what users wait for, as command lines that programs of any age know.
var jobs = []struct {
	name string
	args []string
}{
	{"match, nearest", []string{"match", "--seats", "nearest,nearest,nearest,nearest", "--deals", "1500"}},
	{"match, strong", []string{"match", "--seats", "strong,strong,strong,strong", "--deals", "400"}},
	{"experiment", []string{"experiment", "run", "--ready", "keep-flowers", "--deals", "1024"}},
	{"advise, the first time", []string{"advise", "--rack", "3445b 17c 46689d FF J", "--step", "first-right", "--dealer", "--games", "8000"}},
	{"advise, again", []string{"advise", "--rack", "3445b 17c 46689d FF J", "--step", "first-right", "--dealer", "--games", "8000"}},
	{"advise, a first list", []string{"advise", "--rack", "3445b 17c 46689d FF J", "--step", "first-right", "--dealer", "--games", "800"}},
}

// beside runs every job with an older program and with that of the tree, in turns, on one core, and prints the least CPU time of each
// and how they stand.
func beside(old, now string, rounds int) error {
	least := map[string]time.Duration{}
	for range rounds {
		dir, err := os.MkdirTemp("", "beside")
		if err != nil {
			return err
		}
		defer os.RemoveAll(dir)
		for _, job := range jobs {
			for i, program := range []string{old, now} {
				took, err := cpu(program, filepath.Join(dir, fmt.Sprint(i)), job.args)
				if err != nil {
					return fmt.Errorf("%s, %s: %w", program, job.name, err)
				}
				at := fmt.Sprint(i, job.name)
				if before, known := least[at]; !known || took < before {
					least[at] = took
				}
			}
		}
	}
	fmt.Printf("%s\n\n| work | CPU, old | CPU, new | ratio |\n| --- | --- | --- | --- |\n", processor())
	for _, job := range jobs {
		a, b := least["0"+job.name], least["1"+job.name]
		fmt.Printf("| %s | %.2f s | %.2f s | %.2f |\n", job.name, a.Seconds(), b.Seconds(), b.Seconds()/a.Seconds())
	}
	return nil
}

// cpu is the CPU time that a program takes for a command line, with a data folder of its own.
func cpu(program, data string, args []string) (time.Duration, error) {
	cmd := exec.Command(program, append(args, "--data", data, "--seed", "3")...)
	cmd.Env = append(os.Environ(), "GOMAXPROCS=1")
	cmd.Dir = filepath.Dir(data)
	if out, err := cmd.CombinedOutput(); err != nil {
		return 0, fmt.Errorf("%w\n%s", err, out)
	}
	return cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime(), nil
}
