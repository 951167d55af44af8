package journal

import (
	"bufio"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"tankside/events/logtest"
)

// cutsPerDisk is how often the power is cut while a child logs on one disk.
const cutsPerDisk = 25

// TestPowerCut runs a logging child on a disk that forgets what was not flushed, and
// cuts the power at random moments. What is left has to have every entry that was
// acknowledged before the cut.
func TestPowerCut(t *testing.T) {
	for _, kind := range []diskKind{
		{name: "names flushed with files", journal: true},
		{name: "names flushed with files, torn writes", journal: true, torn: true},
		{name: "names flushed by folder only"},
		{name: "names flushed by folder only, torn writes", torn: true},
	} {
		t.Run(kind.name, func(t *testing.T) {
			seed := uint64(time.Now().UnixNano())
			for i, c := range cuts(t, kind, seed) {
				if lost := judgeCut(t, c, kind); lost > 0 {
					t.Fatalf("seed %d: cut %d lost %d acknowledged groups of %d", seed, i, lost, len(c.said))
				}
			}
		})
	}
}

// TestPowerCutBites has a disk that lies about flushing, on which acknowledged
// entries have to get lost: else the test above shows nothing.
func TestPowerCutBites(t *testing.T) {
	lost := 0
	kind := diskKind{name: "lies", lies: true}
	for _, c := range cuts(t, kind, 1) {
		lost += judgeCut(t, c, kind)
	}
	if lost == 0 {
		t.Error("no acknowledged entry was lost on a disk that never flushes")
	}
}

// powerCut is what one cut left and what was acknowledged before it.
type powerCut struct {
	dir  string
	said acked
}

// cuts runs a child on a disk and cuts the power again and again.
func cuts(t *testing.T, kind diskKind, seed uint64) []powerCut {
	t.Helper()
	rnd := rand.New(rand.NewPCG(seed, 2))
	d, dir := mountDisk(t, kind, rnd)
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childDir+"="+filepath.Join(dir, "log"), childJob+"=log", childGroup+"=0")
	out, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	defer cmd.Wait()
	defer cmd.Process.Kill()
	var all []powerCut
	said, left := acked{}, 0
	for in := bufio.NewScanner(out); len(all) < cutsPerDisk && in.Scan(); left-- {
		f := strings.Fields(in.Text())
		if f[0] == "child:" {
			t.Fatalf("the child failed: %s", in.Text())
		}
		if f[0] == "acked" {
			g, err := strconv.Atoi(f[1])
			if err != nil {
				t.Fatal(err)
			}
			said[g] = f[2]
		}
		if left > 0 {
			continue
		}
		left = rnd.IntN(12)
		c := powerCut{filepath.Join(t.TempDir(), fmt.Sprint("cut", len(all))), acked{}}
		for g, hash := range said {
			c.said[g] = hash
		}
		if err := d.cut(c.dir); err != nil {
			t.Fatal(err)
		}
		all = append(all, c)
	}
	return all
}

// judgeCut opens what a cut left and counts the acknowledged groups that are not all
// there with the bytes they were acknowledged with.
func judgeCut(t *testing.T, c powerCut, kind diskKind) (lost int) {
	t.Helper()
	dir := filepath.Join(c.dir, "log")
	if !exists(dir) {
		return len(c.said)
	}
	j, err := Open(t.Context(), testConfig(dir))
	if err != nil {
		t.Fatalf("Open after a power cut = %v", err)
	}
	defer j.Close()
	if damaged(j.Findings()) && !kind.lies {
		t.Errorf("Open after a power cut found %v", j.Findings())
	}
	rs, err := logtest.Collect(mustLog(t, j).Read(t.Context(), 1))
	if err != nil {
		t.Fatal(err)
	}
	logtest.CheckChain(t, rs)
	there := map[string]bool{}
	for _, r := range rs {
		there[string(r.ID)+r.Hash.String()] = true
	}
	for g, hash := range c.said {
		ds := group(g)
		if !there[string(ds[len(ds)-1].ID)+hash] {
			lost++
		}
	}
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	if r, err := Verify(t.Context(), testConfig(dir)); err != nil && !errors.Is(err, ErrNoLog) || !r.OK() {
		t.Errorf("Verify after a power cut and a clean stop = %v, %v", r.Findings, err)
	}
	return lost
}
