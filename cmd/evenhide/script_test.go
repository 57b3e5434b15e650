package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"evenhide": main})
}

// TestCommands runs the scripts in testdata, each a task at the bench from the
// command line to what is printed, the exit code and the files left behind.
func TestCommands(t *testing.T) {
	root, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:           "testdata",
		UpdateScripts: os.Getenv("UPDATE") != "",
		Setup: func(env *testscript.Env) error {
			env.Setenv(bookEnv, filepath.Join(env.WorkDir, "book.db"))
			env.Setenv("DEMO", root+"/../../testdata/demo")
			env.Setenv("SPECTRA", root+"/../../testdata/spectra")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"paint": paint, "render": render, "dabs": dabs, "stored": stored, "dyed": dyed},
	})
}
