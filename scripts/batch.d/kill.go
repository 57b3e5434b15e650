package main

import (
	"database/sql"
	"errors"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"time"

	_ "modernc.org/sqlite"
)

const (
	photosKilled = 200
	kills        = 50
	seed         = 7 // of the moments
)

// kill checks a batch without a break, and again in another book, killing the
// program at random moments and running it again, and compares the two.
func kill(program, dir string) error {
	const scenes, width = 8, 1280
	start := time.Now()
	rendered, err := render(scenes, width)
	if err != nil {
		return err
	}
	folder := filepath.Join(dir, "killed-photos")
	if err := copies(folder, photosKilled, rendered); err != nil {
		return err
	}
	fmt.Printf("%d photos of %d×%d pixels, of %d renderings, in %.0f s\n", photosKilled, width, width*3/4, scenes, time.Since(start).Seconds())

	start = time.Now()
	whole, err := newBook(program, filepath.Join(dir, "whole.db"))
	if err != nil {
		return err
	}
	want, err := whole.run("batch", "check", batchName, folder)
	if err != nil {
		return err
	}
	unbroken := time.Since(start)
	fmt.Printf("without a break: %.1f s\n", unbroken.Seconds())

	r := rand.New(rand.NewPCG(seed, seed))
	for done := 0; done < kills; { // mostly one book takes them all
		broken, err := newBook(program, filepath.Join(dir, "broken.db"))
		if err != nil {
			return err
		}
		n, err := broken.killed(folder, r, kills-done, unbroken)
		if err != nil {
			return err
		}
		done += n
		got, err := broken.run("batch", "check", batchName, folder)
		if err == nil {
			err = broken.sound(photosKilled)
		}
		if err != nil {
			return err
		}
		if got != want {
			return fmt.Errorf("the report differs from that without a break:\n%s\nwithout:\n%s", got, want)
		}
		if err := sameAgain(whole, broken); err != nil {
			return err
		}
	}
	return nil
}

// killed runs the check over and over, each time killed at a random moment, until it
// has been killed so many times or all photos are stored, and returns how often it
// was.
func (b book) killed(folder string, r *rand.Rand, times int, unbroken time.Duration) (n int, err error) {
	early, last := 0, 0
	for n < times && last < photosKilled {
		cmd := b.command("batch", "check", batchName, folder)
		if err := cmd.Start(); err != nil {
			return n, err
		}
		wait := time.Duration(2 * r.Float64() * float64(unbroken) / kills)
		if r.IntN(8) == 0 {
			wait /= 20 // while the book is being opened
		}
		time.Sleep(wait)
		_ = cmd.Process.Kill() // it may have ended meanwhile
		_ = cmd.Wait()
		switch state := cmd.ProcessState; {
		case !state.Exited():
			n++
		case state.ExitCode() > 1:
			return n, fmt.Errorf("%v: %v", cmd.Args, state)
		}
		stored, err := b.stored()
		if err == nil && stored < last {
			err = fmt.Errorf("%d photos stored, %d before", stored, last)
		}
		if err == nil {
			err = b.sound(stored)
		}
		if err != nil {
			return n, err
		}
		if stored == last {
			early++
		}
		last = stored
	}
	fmt.Printf("killed %d times, %d of them before a photo was stored: %d of %d photos stored, each once; the book was sound each time\n",
		n, early, last, photosKilled)
	if n-early < n/4 {
		return n, fmt.Errorf("only %d kills fell while photos were being stored", n-early)
	}
	return n, nil
}

// query looks into the file, past the program.
func (b book) query(text string, to ...any) error {
	db, err := sql.Open("sqlite", "file:"+b.file+"?_pragma=busy_timeout(10000)")
	if err != nil {
		return err
	}
	defer db.Close()
	if err := db.QueryRow(text).Scan(to...); err != nil {
		return fmt.Errorf("%s: %w", text, err)
	}
	return nil
}

func (b book) stored() (n int, err error) {
	return n, b.query("SELECT COUNT(*) FROM photo_check", &n)
}

// sound checks that the book holds so many photos, none twice and none by half.
func (b book) sound(stored int) error {
	var integrity string
	var checks, photos, whole, strays int
	if err := errors.Join(b.query("PRAGMA integrity_check", &integrity),
		b.query("SELECT COUNT(*), COUNT(DISTINCT sha256) FROM photo_check", &checks, &photos),
		b.query(`SELECT COUNT(*) FROM photo_check c WHERE EXISTS (SELECT 1 FROM check_evidence e WHERE e.check_id = c.id)
			AND EXISTS (SELECT 1 FROM check_piece p WHERE p.check_id = c.id)`, &whole),
		b.query(`SELECT (SELECT COUNT(*) FROM piece) - (SELECT COUNT(DISTINCT piece_id) FROM check_piece)`, &strays)); err != nil {
		return err
	}
	if integrity != "ok" || checks != stored || photos != stored || whole != stored || strays != 0 {
		return fmt.Errorf("integrity %q, %d checks of %d photos, %d of them whole, %d pieces without a check; wanted %d of each", integrity, checks, photos, whole, strays, stored)
	}
	return nil
}

// sameAgain compares what two books say of their batch.
func sameAgain(a, b book) error {
	for _, args := range [][]string{{"batch", "show", batchName}, {"batch", "show", batchName, "--json"}} {
		one, err := a.run(args...)
		if err != nil {
			return err
		}
		two, err := b.run(args...)
		if err != nil {
			return err
		}
		if one != two {
			return fmt.Errorf("%v differs:\n%s\n%s", args, one, two)
		}
		fmt.Printf("%v: the same %d bytes\n", args, len(one))
	}
	return nil
}
