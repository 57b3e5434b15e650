//go:build linux

package shadebook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math/rand/v2"
	"net/url"
	"os"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"evenhide/cmd/internal/outfile"
)

// smallDisk mounts a disk of some size, which only root may.
func smallDisk(t testing.TB, bytes int) string {
	t.Helper()
	dir := t.TempDir()
	if err := syscall.Mount("evenhide-test", dir, "tmpfs", 0, fmt.Sprintf("size=%d", bytes)); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("no small disk: %v", err)
		}
		t.Skipf("a small disk needs root: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	return dir
}

// untilFull stores checks until one is refused, and returns how many were stored.
func untilFull(t testing.TB, b *Book) (stored int, err error) {
	t.Helper()
	ctx := context.Background()
	must(b.AddColour(ctx, "Oxblood", DefaultSettings()))(t)
	for ; err == nil; stored++ {
		c, e := aCheckOf(fmt.Sprint("photo ", stored), "Oxblood", "", 3)
		e.Picture = make([]byte, 50_000)
		for i := range e.Picture {
			e.Picture[i] = byte(rand.Uint32()) // or the server would press it
		}
		_, err = b.AddCheck(ctx, c, e)
	}
	return stored - 1, err
}

func wantWhole(t testing.TB, b *Book, checks int) {
	t.Helper()
	wantRows(t, b, "photo_check", checks)
	wantRows(t, b, "check_piece", 3*checks)
	wantRows(t, b, "check_evidence", checks)
	if b.engine == postgres {
		return
	}
	says := ""
	if err := b.db.QueryRow("PRAGMA integrity_check").Scan(&says); err != nil || says != "ok" {
		t.Errorf("integrity: %q, %v", says, err)
	}
}

func TestFullDisk(t *testing.T) {
	ctx := context.Background()
	dir := smallDisk(t, 2<<20)
	ballast := filepath.Join(dir, "ballast")
	if err := os.WriteFile(ballast, make([]byte, 300_000), 0o644); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "book.db")
	b := open(t, path)
	n, err := untilFull(t, b)
	wantRefusal(t, err, ErrFull, path)
	wantWhole(t, b, n)
	t.Logf("%d checks of 50 kB fit into 1.7 MB", n)
	err = b.Backup(ctx, filepath.Join(dir, "backup.db"))
	wantRefusal(t, err, outfile.ErrWrite, "backup.db")
	if left := must(filepath.Glob(filepath.Join(dir, ".*")))(t); len(left) != 0 {
		t.Errorf("left behind: %q", left)
	}
	os.Remove(ballast)
	c, e := aCheckOf("after", "Oxblood", "", 3)
	must(b.AddCheck(ctx, c, e))(t)
	wantWhole(t, b, n+1)
	b.Close()
	wantWhole(t, open(t, path), n+1)
}

// A disk that has no room for as much as an empty book.
func TestNoRoomAtAll(t *testing.T) {
	dir := smallDisk(t, 16<<10)
	wantRefusal(t, openFails(t, filepath.Join(dir, "book.db")), ErrFull)
}

func TestReadOnlyDisk(t *testing.T) {
	dir := smallDisk(t, 2<<20)
	path := filepath.Join(dir, "book.db")
	filled(t, path).Close()
	if err := syscall.Mount("evenhide-test", dir, "tmpfs", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Fatal(err)
	}
	wantRefusal(t, openFails(t, path), ErrReadOnly, path, "read-only file system")
	wantRefusal(t, openFails(t, filepath.Join(dir, "new.db")), ErrReadOnly)
}

// A book that turns read-only while it is open.
func TestTurnsReadOnly(t *testing.T) {
	b := filled(t, sqliteAddress(t))
	b.db.SetMaxOpenConns(1)
	if _, err := b.db.Exec("PRAGMA query_only = 1"); err != nil {
		t.Fatal(err)
	}
	_, err := b.AddColour(context.Background(), "X", DefaultSettings())
	wantRefusal(t, err, ErrReadOnly)
}

// The server's disk is full: a tablespace on a small one.
func TestFullServer(t *testing.T) {
	at := postgresServer(t)
	if at.Hostname() != "" {
		t.Skip("the server's disk is elsewhere")
	}
	dir := smallDisk(t, 6<<20)
	owner := must(user.Lookup("postgres"))(t)
	uid, gid := must(strconv.Atoi(owner.Uid))(t), must(strconv.Atoi(owner.Gid))(t)
	if err := errors.Join(os.Chown(dir, uid, gid), os.Chmod(filepath.Dir(dir), 0o755), os.Chmod(filepath.Dir(filepath.Dir(dir)), 0o755)); err != nil {
		t.Fatal(err)
	}
	space := fmt.Sprintf("evenhide_test_%08x", rand.Uint32())
	db := must(sql.Open("pgx", at.String()))(t)
	if _, err := db.Exec("CREATE TABLESPACE " + space + " LOCATION '" + strings.ReplaceAll(dir, "'", "''") + "'"); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { // after the schema went, before the disk does
		if _, err := db.Exec("DROP TABLESPACE " + space); err != nil {
			t.Error(err)
		}
		db.Close()
	})
	b := open(t, with(must(url.Parse(postgresAddress(t)))(t), "default_tablespace", space))
	n, err := untilFull(t, b)
	wantRefusal(t, err, ErrFull, "the server's disk is full")
	wantWhole(t, b, n)
	t.Logf("%d checks of 50 kB fit", n)
}
