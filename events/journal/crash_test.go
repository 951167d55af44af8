package journal

import (
	"bufio"
	"context"
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

	"go.uber.org/goleak"

	"tankside/events"
	"tankside/events/logtest"
)

// The crash suite runs this test binary again as a child that logs, kills it with
// SIGKILL at a random moment, and judges what it left. A killed process is not a
// power cut (the operating system still writes what it was given); powercut_test.go
// has that.

// Environment of the child, and of whoever wants more rounds.
const (
	childDir    = "TANKSIDE_CRASH_DIR"    // the child's data folder
	childJob    = "TANKSIDE_CRASH_JOB"    // what it does: log or repair
	childGroup  = "TANKSIDE_CRASH_GROUP"  // the group of entries it begins with
	crashRounds = "TANKSIDE_CRASH_ROUNDS" // kills in all; 200 when not set
)

func TestMain(m *testing.M) {
	if dir := os.Getenv(childDir); dir != "" {
		if err := child(dir, os.Getenv(childJob)); err != nil {
			fmt.Println("child:", err)
			os.Exit(1)
		}
		return
	}
	goleak.VerifyTestMain(m)
}

// groupSize is the number of entries that the child saves in one go as group g.
func groupSize(g int) int {
	if g%4 == 3 {
		return 2 + g%17
	}
	return 1
}

// group is the drafts of group g.
func group(g int) []events.Draft { return logtest.Drafts(100*g, 100*g+groupSize(g)-1) }

// child logs group after group and says so on its standard output, until it is
// killed, or repairs once.
func child(dir, job string) error {
	ctx := context.Background()
	fmt.Println("up")
	j, err := Open(ctx, testConfig(dir))
	if err != nil {
		return err
	}
	fmt.Println("open")
	if job == "repair" {
		_, err := j.Repair(ctx, logtest.Incident)
		return errors.Join(err, j.Close())
	}
	l, err := j.Log(logtest.Incident)
	if err != nil {
		return err
	}
	first, err := strconv.Atoi(os.Getenv(childGroup))
	if err != nil {
		return err
	}
	for g := first; ; g++ {
		rs, err := l.AppendAll(ctx, group(g))
		if err != nil {
			return err
		}
		fmt.Println("acked", g, rs[len(rs)-1].Hash)
	}
}

// acked is what children were told was saved: the hash of a group's last entry.
type acked map[int]string

// next is the group that a new child begins with: the last one again, as a sender
// whose answer was lost does.
func (a acked) next() int { return max(0, len(a)-1) }

// runChild starts a child and kills it after a random number of its answers, or at a
// random moment of its start. It returns the child's last line if that was an error.
func runChild(t *testing.T, dir, job string, said acked, rnd *rand.Rand) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childDir+"="+dir, childJob+"="+job, childGroup+"="+strconv.Itoa(said.next()))
	out, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	answers, early := rnd.IntN(25), rnd.IntN(4) == 0
	for in := bufio.NewScanner(out); in.Scan(); {
		f := strings.Fields(in.Text())
		switch {
		case f[0] == "child:":
			t.Fatalf("the child failed: %s", in.Text())
		case f[0] == "up" && early:
			time.AfterFunc(time.Duration(rnd.IntN(40_000))*time.Microsecond, func() { cmd.Process.Kill() })
		case f[0] == "open" && job == "repair":
			time.AfterFunc(time.Duration(rnd.IntN(60_000))*time.Microsecond, func() { cmd.Process.Kill() })
		case f[0] == "acked":
			g, err := strconv.Atoi(f[1])
			if old := said[g]; err != nil || old != "" && old != f[2] {
				t.Fatalf("group %d was acknowledged as %s and then as %s (%v)", g, old, f[2], err)
			}
			said[g] = f[2]
			if answers--; answers <= 0 && !early {
				cmd.Process.Kill()
			}
		}
	}
	cmd.Wait() // killed: its error is no news
}

func TestKill(t *testing.T) {
	rounds := 200
	if s := os.Getenv(crashRounds); s != "" {
		var err error
		if rounds, err = strconv.Atoi(s); err != nil {
			t.Fatal(err)
		}
	}
	if testing.Short() {
		rounds = 20
	}
	seed := uint64(time.Now().UnixNano())
	rnd := rand.New(rand.NewPCG(seed, 0))
	completed := 0
	for round := 0; round < rounds; {
		dir, said := filepath.Join(t.TempDir(), "log"), acked{}
		for range min(10, rounds-round) {
			runChild(t, dir, "log", said, rnd)
			completed += judgeKilled(t, dir, seed)
			round++
		}
		judgeAcked(t, dir, said)
	}
	t.Logf("%d kills, seed %d: in %d the second copy was completed from the store", rounds, seed, completed)
}

// judgeKilled has Verify find nothing but an entry that was being saved. It returns
// how many notes there were.
func judgeKilled(t *testing.T, dir string, seed uint64) int {
	t.Helper()
	r, err := Verify(t.Context(), testConfig(dir))
	if errors.Is(err, ErrNoLog) {
		return 0 // killed before it had a folder
	}
	if err != nil {
		t.Fatalf("seed %d: Verify after a kill = %v", seed, err)
	}
	// A child that was killed before the store was there leaves nothing to miss.
	if !r.OK() && len(r.Logs) > 0 {
		t.Fatalf("seed %d: Verify after a kill found %v", seed, r.Findings)
	}
	return len(r.Findings)
}

// judgeAcked has every acknowledged group in the log exactly once, with the bytes it
// was acknowledged with, and every other group whole or not at all.
func judgeAcked(t *testing.T, dir string, said acked) {
	t.Helper()
	j := mustOpen(t, testConfig(dir))
	if damaged(j.Findings()) {
		t.Fatalf("Open after the kills found %v", j.Findings())
	}
	rs, err := logtest.Collect(mustLog(t, j).Read(t.Context(), 1))
	if err != nil {
		t.Fatal(err)
	}
	logtest.CheckChain(t, rs)
	at := map[events.ID]events.Recorded{}
	for _, r := range rs {
		if old, twice := at[r.ID]; twice {
			t.Errorf("id %s is entry %d and entry %d", r.ID, old.Seq, r.Seq)
		}
		at[r.ID] = r
	}
	for g := range said.next() + 3 {
		ds, there := group(g), 0
		for _, d := range ds {
			if _, ok := at[d.ID]; ok {
				there++
			}
		}
		last := at[ds[len(ds)-1].ID].Hash.String()
		if said[g] != "" && (there != len(ds) || last != said[g]) {
			t.Errorf("group %d: %d of %d entries, the last %s; it was acknowledged whole, with %s", g, there, len(ds), last, said[g])
		}
		if there != 0 && there != len(ds) {
			t.Errorf("group %d, which was not acknowledged: %d of %d entries", g, there, len(ds))
		}
	}
}

// A repair that is killed can be asked for again, and nothing is lost by it.
func TestKillDuringRepair(t *testing.T) {
	clean, _ := makeBases(t, oneBlock)
	seed := uint64(time.Now().UnixNano())
	rnd := rand.New(rand.NewPCG(seed, 1))
	rounds := 20
	if testing.Short() {
		rounds = 3
	}
	for range rounds {
		dir := filepath.Join(t.TempDir(), "log")
		if err := copyTree(clean.dir, dir); err != nil {
			t.Fatal(err)
		}
		edit(t, block(t, dir, -1), flip(middle))
		edit(t, copyPath(dir), inLines(func(l [][]byte) [][]byte { return l[5:] }))
		runChild(t, dir, "repair", acked{}, rnd)
		j := mustOpen(t, testConfig(dir))
		for _, incident := range Damaged(j.Findings()) {
			if did, err := j.Repair(t.Context(), incident); err != nil || damaged(did) {
				t.Fatalf("seed %d: Repair after a killed repair = %v, %v", seed, did, err)
			}
		}
		checkReads(t, mustLog(t, j), clean.want)
		if err := j.Close(); err != nil {
			t.Fatal(err)
		}
	}
}
