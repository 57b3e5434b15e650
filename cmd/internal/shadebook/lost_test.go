package shadebook

import (
	"context"
	"fmt"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// The server goes away in the middle and comes back: who stores checks meanwhile
// sees nothing of it, and each is stored once.
func TestServerGoesAndComesBack(t *testing.T) {
	ctx := context.Background()
	address := postgresAddress(t)
	p, through := startProxy(t, address)
	b := open(t, through)
	must(b.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
	const times = 15
	gone := make(chan struct{})
	go func() {
		defer close(gone)
		r := rand.New(rand.NewPCG(7, 7))
		for range times {
			time.Sleep(time.Duration(100+r.IntN(200)) * time.Millisecond)
			if r.IntN(4) > 0 {
				p.drop()
				continue
			}
			p.down()
			time.Sleep(time.Duration(r.IntN(400)) * time.Millisecond)
			p.up(t)
		}
	}()
	var wg sync.WaitGroup
	var stored atomic.Int64
	for bench := range 2 {
		wg.Go(func() {
			for i := 0; ; i++ {
				select {
				case <-gone:
					return
				default:
				}
				c, e := aCheckOf(fmt.Sprintf("%d-%d", bench, i), "Oxblood", "", 3)
				got, err := b.AddCheck(ctx, c, e)
				if err != nil {
					t.Errorf("%d-%d: %v", bench, i, err)
				} else if got.ID == 0 || got.Pieces[0].PieceID == 0 {
					t.Errorf("%d-%d: no IDs", bench, i)
				}
				stored.Add(1)
			}
		})
	}
	wg.Wait()
	n := int(stored.Load())
	t.Logf("%d checks while the server went away %d times", n, times)
	direct := open(t, address)
	wantRows(t, direct, "photo_check", n)
	wantRows(t, direct, "check_piece", 3*n)
	wantRows(t, direct, "check_evidence", n)
}

// The connection breaks at each of the statements of a check in turn, before it or
// after the server has done it: the check is stored once in any case, also where its photo
// was kept before and the check dropped.
func TestConnectionBreaksAnywhere(t *testing.T) {
	t.Run("new", func(t *testing.T) { breaksAnywhere(t, false) })
	t.Run("dropped before", func(t *testing.T) { breaksAnywhere(t, true) })
}

func breaksAnywhere(t *testing.T, dropped bool) {
	ctx := context.Background()
	address := postgresAddress(t)
	p, through := startProxy(t, address)
	direct := open(t, address)
	must(direct.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
	broke := 0
	for n := 1; ; n++ {
		b := open(t, through)
		b.pause = time.Millisecond
		c, e := aCheckOf(fmt.Sprint("photo ", n), "Oxblood", "", 2)
		each, before := 1, int64(0)
		if dropped {
			each, before = 2, must(direct.AddCheck(ctx, c, e))(t).ID
			must(direct.DropCheck(ctx, Drop{Check: before}))(t)
		}
		sent, hit := 0, false
		p.mu.Lock()
		p.cut = func([]byte) bool { sent++; hit = hit || sent == n; return sent == n }
		p.mu.Unlock()
		got := must(b.AddCheck(ctx, c, e))(t)
		p.mu.Lock()
		p.cut = nil
		p.mu.Unlock()
		b.Close()
		wantRows(t, direct, "photo_check", each*n)
		wantRows(t, direct, "check_piece", 2*each*n)
		if got.ID == 0 || got.Corrects != before {
			t.Errorf("broken at message %d: check %d corrects %d, want %d", n, got.ID, got.Corrects, before)
		}
		if !hit {
			break
		}
		broke = n
	}
	const least = 8 // begin, colour, check, 2 pieces, evidence, commit and their preparations
	if broke < least {
		t.Errorf("broke at %d messages only", broke)
	}
	t.Logf("broken at each of %d messages", broke)
}

// What cannot be told apart from a second record is not stored again by itself.
func TestServerGoesWhileStoring(t *testing.T) {
	ctx := context.Background()
	address := postgresAddress(t)
	p, through := startProxy(t, address)
	b := open(t, through)
	p.atNth(1, "commit")
	_, err := b.AddColour(ctx, "Oxblood", DefaultSettings())
	wantRefusal(t, err, ErrUnsure, "went away while it was storing")
	if n := len(must(b.Colours(ctx))(t)); n > 1 {
		t.Errorf("%d colours", n)
	}
}

func TestServerStaysAway(t *testing.T) {
	ctx := context.Background()
	p, through := startProxy(t, postgresAddress(t))
	b := open(t, through)
	must(b.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
	p.down()
	b.pause = time.Millisecond
	_, err := b.AddColour(ctx, "Tan", DefaultSettings())
	wantRefusal(t, err, ErrUnreachable, p.address)
	_, err = b.Colours(ctx)
	wantRefusal(t, err, ErrUnreachable, p.address)
	p.up(t)
	if n := len(must(b.Colours(ctx))(t)); n != 1 {
		t.Errorf("%d colours", n)
	}
	cancelled, cancel := context.WithCancel(ctx)
	p.down()
	b.pause = time.Hour
	time.AfterFunc(50*time.Millisecond, cancel)
	if _, err := b.Colours(cancelled); err == nil {
		t.Error("no error")
	}
	p.up(t)
}
