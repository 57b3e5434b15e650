package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"syscall"
	"time"
)

// throughput times a batch of 12 megapixel photos with one worker and with two,
// taking turns, and prints the peak memory of the process.
func throughput(program, dir string) error {
	const scenes, width, photos, rounds = 4, 4000, 40, 3
	rendered, err := render(scenes, width)
	if err != nil {
		return err
	}
	folder := filepath.Join(dir, "throughput-photos")
	if err := copies(folder, photos, rendered); err != nil {
		return err
	}
	took, peak := map[int][]time.Duration{}, map[int]float64{}
	for range rounds {
		for _, workers := range []int{1, 2} {
			b, err := newBook(program, filepath.Join(dir, "throughput.db"))
			if err != nil {
				return err
			}
			cmd := b.command("batch", "check", batchName, folder, "--workers", strconv.Itoa(workers))
			start := time.Now()
			_ = cmd.Run() // what it finds is of no interest here
			if code := cmd.ProcessState.ExitCode(); code != 0 && code != 1 {
				return fmt.Errorf("%v: exit code %d", cmd.Args, code)
			}
			took[workers] = append(took[workers], time.Since(start))
			if usage, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage); ok {
				peak[workers] = max(peak[workers], float64(usage.Maxrss)/1024)
			}
		}
	}
	median := func(workers int) float64 {
		slices.Sort(took[workers])
		return took[workers][rounds/2].Seconds()
	}
	one, two := median(1), median(2)
	fmt.Printf("%d photos of 12 MP (%d renderings), medians of %d runs in turn\n", photos, scenes, rounds)
	fmt.Printf("%-10s %8s %12s\n", "workers", "time", "peak memory")
	fmt.Printf("%-10d %6.1f s %9.0f MB\n%-10d %6.1f s %9.0f MB\n", 1, one, peak[1], 2, two, peak[2])
	fmt.Printf("2 workers against 1: %.2f times as fast (wanted 1.8); memory wanted: at most 400 MB\n", one/two)
	return nil
}
