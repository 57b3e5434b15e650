package shadebook

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"
)

// The test binary is a bench of its own when these are set.
const (
	benchBook    = "EVENHIDE_TEST_BENCH_BOOK"
	benchName    = "EVENHIDE_TEST_BENCH_NAME"
	benchRecords = "EVENHIDE_TEST_BENCH_RECORDS"
)

func TestMain(m *testing.M) {
	if address := os.Getenv(benchBook); address != "" {
		if err := workAtBench(address, os.Getenv(benchName), os.Getenv(benchRecords)); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

// workAtBench stores records as one of several programs would, and prints how long
// each took in microseconds.
func workAtBench(address, name, records string) error {
	ctx := context.Background()
	n, err := strconv.Atoi(records)
	if err != nil {
		return err
	}
	b, err := OpenOrBegin(ctx, address)
	if err != nil {
		return err
	}
	defer b.Close()
	var took []int64
	for i := range n {
		began := time.Now()
		switch kind := i % 10; kind {
		case 0:
			_, err = b.AddHide(ctx, Hide{Name: fmt.Sprintf("%s/%d", name, i)})
		case 1:
			_, err = b.ChangeColour(ctx, "Oxblood", func(s *Settings) { s.DryingHours++ })
		default:
			c, e := aCheckOf(fmt.Sprintf("%s/%d", name, i), "Oxblood", "", 3)
			e.Picture = make([]byte, 6000)
			_, err = b.AddCheck(ctx, c, e)
		}
		if err != nil {
			return fmt.Errorf("record %d: %w", i, err)
		}
		took = append(took, time.Since(began).Microseconds())
	}
	return json.NewEncoder(os.Stdout).Encode(took)
}

// Eight programs write one file, sixteen one database: all there, and nobody sees an
// error.
func TestManyBenches(t *testing.T) {
	each := 1000
	if testing.Short() || underRace { // which does not look into other programs
		each = 50
	}
	onBoth(t, func(t *testing.T, address string) {
		ctx := context.Background()
		b := open(t, address)
		must(b.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
		benches := 8
		if b.engine == postgres {
			benches = 16
		}
		var wg sync.WaitGroup
		var mu sync.Mutex
		var took []int64
		began := time.Now()
		for i := range benches {
			cmd := exec.Command(os.Args[0])
			cmd.Env = append(os.Environ(), benchBook+"="+address, fmt.Sprintf("%s=bench %d", benchName, i), fmt.Sprintf("%s=%d", benchRecords, each))
			var complaint = &limited{}
			cmd.Stderr = complaint
			wg.Go(func() {
				out, err := cmd.Output()
				var mine []int64
				if err == nil {
					err = json.Unmarshal(out, &mine)
				}
				mu.Lock()
				defer mu.Unlock()
				if took = append(took, mine...); err != nil {
					t.Errorf("bench %d: %v: %s", i, err, complaint.text)
				}
			})
		}
		wg.Wait()
		elapsed := time.Since(began)

		const kinds = 10
		checks := benches * each * (kinds - 2) / kinds
		wantRows(t, b, "hide", benches*each/kinds)
		wantRows(t, b, "colour_state", 1+benches*each/kinds)
		wantRows(t, b, "photo_check", checks)
		wantRows(t, b, "check_piece", 3*checks)
		wantRows(t, b, "check_evidence", checks)
		if c := must(b.ColourNamed(ctx, "Oxblood"))(t); int(c.DryingHours-DefaultSettings().DryingHours) != benches*each/kinds {
			t.Errorf("%v hours after %d changes: one undid another", c.DryingHours, benches*each/kinds)
		}
		slices.Sort(took)
		if len(took) > 0 {
			at := func(share float64) time.Duration {
				return time.Duration(took[int(share*float64(len(took)-1))]) * time.Microsecond
			}
			t.Logf("%d programs, %d records in %v; a record took, wait included: median %v, 99 %% %v, longest %v",
				benches, len(took), elapsed.Round(time.Millisecond), at(0.5), at(0.99), at(1))
		}
	})
}

// limited keeps the beginning of what is written to it.
type limited struct{ text []byte }

func (l *limited) Write(p []byte) (int, error) {
	const most = 1000
	l.text = append(l.text, p[:min(len(p), most-min(most, len(l.text)))]...)
	return len(p), nil
}
