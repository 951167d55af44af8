package cli

import (
	"context"
	"errors"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"tankside/cmd/internal/browser"
	"tankside/cmd/internal/remote"
	"tankside/events/journal"
	"tankside/events/kinds"
)

// withBrowser ends the browser with the tests.
type withBrowser struct{ *testing.M }

// Run runs the tests.
func (m withBrowser) Run() int { return browser.Run(m.M) }

// TestMain lets the test program stand for tankside itself, so that scripts run
// real processes.
func TestMain(m *testing.M) {
	testscript.Main(withBrowser{m}, map[string]func(){"tankside": func() {
		ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
		defer stop()
		os.Exit(New().Run(ctx, os.Args[1:]))
	}, "relay": relay})
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: filepath.Join("..", "..", "..", "testdata", "script"),
		Setup: func(env *testscript.Env) error {
			incidents, err := filepath.Abs(filepath.Join("..", "..", "..", "testdata", "incidents"))
			env.Setenv("INCIDENTS", incidents)
			env.Setenv("TZ", "UTC")
			env.Values["served"] = served{}
			err = errors.Join(err, os.WriteFile(filepath.Join(env.WorkDir, "lid.gif"), smallest, 0o600))
			env.Setenv("TANKSIDE_DIR", filepath.Join(env.WorkDir, "data"))
			return err
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"hold": hold, "serve": serve, "change": change},
	})
}

// smallest is a picture of one clear point.
var smallest = []byte("GIF89a\x01\x00\x01\x00\x80\x00\x00\x00\x00\x00\x00\x00\x00!\xf9\x04\x01\x00\x00\x00\x00,\x00\x00\x00\x00\x01\x00\x01\x00\x00\x02\x02D\x01\x00;")

// hold opens a data folder, as another process would, until the script ends.
func hold(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 1 {
		ts.Fatalf("usage: hold folder")
	}
	j, err := journal.Open(context.Background(), journal.Config{Dir: ts.MkAbs(args[0]), Now: time.Now, Catalogue: kinds.Catalogue()})
	ts.Check(err)
	ts.Defer(func() { ts.Check(j.Close()) })
}

// serve opens a data folder and serves it to other commands, as a console does,
// until "! serve" or the end of the script.
func serve(ts *testscript.TestScript, end bool, args []string) {
	if len(args) != 1 {
		ts.Fatalf("usage: [!] serve folder")
	}
	dir, all := ts.MkAbs(args[0]), ts.Value("served").(served)
	if end {
		ts.Check(all[dir]())
		return
	}
	j, err := journal.Open(context.Background(), journal.Config{Dir: dir, Now: time.Now, Catalogue: kinds.Catalogue()})
	ts.Check(err)
	s, err := remote.Serve(remote.Config{Folder: j, Catalogue: kinds.Catalogue(), Now: time.Now})
	ts.Check(err)
	all[dir] = sync.OnceValue(func() error { return errors.Join(s.Close(), j.Close()) })
	ts.Defer(func() { ts.Check(all[dir]()) })
}

// served is how to end the serving of each folder.
type served map[string]func() error

// change puts other text into one line of a file, as damage would.
func change(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 4 {
		ts.Fatalf("usage: change file line old new")
	}
	name := ts.MkAbs(args[0])
	b, err := os.ReadFile(name)
	ts.Check(err)
	n, err := strconv.Atoi(args[1])
	ts.Check(err)
	lines := strings.SplitAfter(string(b), "\n")
	if n > len(lines) || !strings.Contains(lines[n-1], args[2]) {
		ts.Fatalf("line %d of %s has no %q", n, args[0], args[2])
	}
	lines[n-1] = strings.Replace(lines[n-1], args[2], args[3], 1)
	ts.Check(os.WriteFile(name, []byte(strings.Join(lines, "")), 0o600))
}
