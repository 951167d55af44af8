package logtest

import (
	"bytes"
	"context"
	"errors"
	"iter"
	"slices"
	"sync"
	"testing"
	"time"

	"tankside/events"
)

// Opener opens the log of Incident, with Catalogue for its kinds.
type Opener func(t *testing.T) events.Log

// Suite tests the log that open makes. Each call of open has to give a new, empty
// log. A durable log also gives reopen, which ends the log that open gave last, as
// a program ends, and opens it again; reopen is nil otherwise.
func Suite(t *testing.T, open Opener, reopen Opener) {
	for _, tt := range []struct {
		name string
		run  func(*testing.T, events.Log)
	}{
		{"order and chain", testOrder},
		{"same id is one entry", testSameID},
		{"an id used for something else is refused", testIDReuse},
		{"what is invalid is refused whole", testInvalid},
		{"all or none", testAllOrNone},
		{"one entry behind the last", testAfter},
		{"large import", testLarge},
		{"read from the middle", testReadFrom},
		{"hostile content", testHostile},
		{"an entry read is the reader's own", testOwn},
		{"follow: no gap, no double", testFollow},
		{"follow ends with its context", testFollowEnds},
		{"a context that ended saves nothing", testEnded},
		{"writers at once", testWriters},
	} {
		t.Run(tt.name, func(t *testing.T) { tt.run(t, open(t)) })
	}
	if reopen != nil {
		t.Run("opened again it has the same bytes", func(t *testing.T) { testReopen(t, open(t), reopen) })
	}
}

// Collect reads entries until the end or the first error.
func Collect(seq iter.Seq2[events.Recorded, error]) ([]events.Recorded, error) {
	var out []events.Recorded
	for r, err := range seq {
		if err != nil {
			return out, err
		}
		out = append(out, r)
	}
	return out, nil
}

// CheckChain fails the test unless rs are whole entries 1, 2, 3 ... each carrying
// the hash of the one before.
func CheckChain(t *testing.T, rs []events.Recorded) {
	t.Helper()
	prev := events.Hash{}
	for i, r := range rs {
		if r.Seq != events.Seq(i+1) || r.Prev != prev {
			t.Fatalf("entry at index %d has number %d and prev %v, want %d and %v", i, r.Seq, r.Prev, i+1, prev)
		}
		again, err := catalogue.Open(r.Raw)
		if err != nil || again.Hash != r.Hash || bytes.ContainsRune(r.Raw, '\n') {
			t.Fatalf("entry %d: bytes %q open with hash %v, %v; want %v and one line", r.Seq, r.Raw, again.Hash, err, r.Hash)
		}
		prev = r.Hash
	}
}

// must appends a draft that has to be accepted.
func must(t *testing.T, l events.Log, d events.Draft) events.Recorded {
	t.Helper()
	r, err := l.Append(t.Context(), d)
	if err != nil {
		t.Fatalf("Append(%s) = %v, want it saved", d.ID, err)
	}
	return r
}

// all reads the whole log, which has to hold want entries in a whole chain.
func all(t *testing.T, l events.Log, want int) []events.Recorded {
	t.Helper()
	rs, err := Collect(l.Read(t.Context(), 1))
	if err != nil || len(rs) != want {
		t.Fatalf("Read gave %d entries and %v, want %d", len(rs), err, want)
	}
	CheckChain(t, rs)
	return rs
}

func testOrder(t *testing.T, l events.Log) {
	all(t, l, 0)
	var wrote []events.Recorded
	for n := range 20 {
		wrote = append(wrote, must(t, l, Draft(n)))
	}
	for i, r := range all(t, l, 20) {
		if !bytes.Equal(r.Raw, wrote[i].Raw) || r.Hash != wrote[i].Hash || !catalogue.SameFact(Draft(i), r) {
			t.Errorf("entry %d reads %s, want %s", r.Seq, r.Raw, wrote[i].Raw)
		}
	}
}

func testSameID(t *testing.T, l events.Log) {
	first := must(t, l, Draft(1))
	must(t, l, Draft(2))
	again := must(t, l, Draft(1))
	if again.Seq != 1 || again.Hash != first.Hash {
		t.Errorf("the same draft again gave entry %d (%v), want entry 1 (%v)", again.Seq, again.Hash, first.Hash)
	}
	rs, err := l.AppendAll(t.Context(), []events.Draft{Draft(2), Draft(3), Draft(3), Draft(1)})
	if err != nil || len(rs) != 4 || rs[0].Seq != 2 || rs[1].Seq != 3 || rs[2].Seq != 3 || rs[3].Seq != 1 {
		t.Errorf("a batch of old, new, new again and old gave %v, %v; want entries 2 3 3 1", seqs(rs), err)
	}
	all(t, l, 3)
}

func testIDReuse(t *testing.T, l events.Log) {
	must(t, l, Draft(1))
	other := Draft(2)
	other.ID = Draft(1).ID
	if _, err := l.Append(t.Context(), other); !errors.Is(err, events.ErrIDReused) {
		t.Errorf("Append of another fact under a used id = %v, want ErrIDReused", err)
	}
	for what, change := range map[string]func(*events.Draft){
		"time":     func(d *events.Draft) { d.Occurred.At = d.Occurred.At.Add(time.Second) },
		"form":     func(d *events.Draft) { d.Occurred = events.OnDay(d.Occurred.At) },
		"told":     func(d *events.Draft) { d.Reported = d.Occurred.At.Add(time.Hour) },
		"who":      func(d *events.Draft) { d.ObservedBy += "x" },
		"relay":    func(d *events.Draft) { d.RelayedBy += "x" },
		"place":    func(d *events.Draft) { d.Where += "x" },
		"words":    func(d *events.Draft) { d.Words += "x" },
		"extra":    func(d *events.Draft) { d.Extra = append(slices.Clone(d.Extra), events.Pair{Key: "k", Value: "v"}) },
		"exercise": func(d *events.Draft) { d.Mode = events.Exercise },
		"trust":    func(d *events.Draft) { d.Trust = events.WorkedOut },
	} {
		d := Draft(1)
		change(&d)
		if _, err := l.Append(t.Context(), d); !errors.Is(err, events.ErrIDReused) {
			t.Errorf("Append of the same with another %s under its id = %v, want ErrIDReused", what, err)
		}
	}
	twice := []events.Draft{Draft(3), Draft(4)}
	twice[1].ID = twice[0].ID
	if _, err := l.AppendAll(t.Context(), twice); !errors.Is(err, events.ErrIDReused) {
		t.Errorf("AppendAll of two facts under one id = %v, want ErrIDReused", err)
	}
	all(t, l, 1)
}

func testInvalid(t *testing.T, l events.Log) {
	for name, spoil := range map[string]func(*events.Draft){
		"no id":            func(d *events.Draft) { d.ID = "" },
		"no fact":          func(d *events.Draft) { d.Payload = nil },
		"unknown kind":     func(d *events.Draft) { d.Payload = events.Unknown{Name: "x", JSON: "{}"} },
		"other incident":   func(d *events.Draft) { d.Incident = "Elsewhere" },
		"no incident":      func(d *events.Draft) { d.Incident = " " },
		"words not UTF-8":  func(d *events.Draft) { d.Words = "\xff" },
		"source not UTF-8": func(d *events.Draft) { d.Source.Raw = "\xfe" },
	} {
		d := Draft(1)
		spoil(&d)
		if _, err := l.Append(t.Context(), d); !errors.Is(err, events.ErrInvalid) {
			t.Errorf("%s: Append = %v, want ErrInvalid", name, err)
		}
	}
	all(t, l, 0)
}

func testAllOrNone(t *testing.T, l events.Log) {
	ds := Drafts(1, 30)
	bad := slices.Clone(ds)
	bad[29].Payload = nil
	if _, err := l.AppendAll(t.Context(), bad); !errors.Is(err, events.ErrInvalid) {
		t.Errorf("AppendAll with a bad last draft = %v, want ErrInvalid", err)
	}
	all(t, l, 0)
	if rs, err := l.AppendAll(t.Context(), nil); err != nil || len(rs) != 0 {
		t.Errorf("AppendAll of nothing = %v, %v; want nothing", rs, err)
	}
	rs, err := l.AppendAll(t.Context(), ds)
	if err != nil {
		t.Fatalf("AppendAll = %v", err)
	}
	for i, r := range all(t, l, 30) {
		if r.Hash != rs[i].Hash {
			t.Errorf("entry %d reads %v, AppendAll returned %v", r.Seq, r.Hash, rs[i].Hash)
		}
	}
}

// testAfter: what stands on the end of the log is saved at that end or not at all, also
// where many try at once; sent again it is the entry that it was.
func testAfter(t *testing.T, l events.Log) {
	if _, err := l.AppendAfter(t.Context(), 1, Draft(1)); !errors.Is(err, events.ErrMovedOn) {
		t.Errorf("AppendAfter entry 1 of an empty log = %v, want ErrMovedOn", err)
	}
	for n := range 2 {
		if r, err := l.AppendAfter(t.Context(), events.Seq(n), Draft(n)); err != nil || r.Seq != events.Seq(n+1) {
			t.Fatalf("AppendAfter entry %d = entry %d, %v; want it saved", n, r.Seq, err)
		}
	}
	if _, err := l.AppendAfter(t.Context(), 1, Draft(5)); !errors.Is(err, events.ErrMovedOn) {
		t.Errorf("AppendAfter entry 1 of two = %v, want ErrMovedOn", err)
	}
	if r, err := l.AppendAfter(t.Context(), 0, Draft(0)); err != nil || r.Seq != 1 {
		t.Errorf("the first again = entry %d, %v; want entry 1", r.Seq, err)
	}
	won, group := make([]error, 8), sync.WaitGroup{}
	for n := range won {
		group.Go(func() { _, won[n] = l.AppendAfter(t.Context(), 2, Draft(10+n)) })
	}
	group.Wait()
	saved := 0
	for n, err := range won {
		if err == nil {
			saved++
		} else if !errors.Is(err, events.ErrMovedOn) {
			t.Errorf("AppendAfter number %d of eight at once = %v, want ErrMovedOn", n, err)
		}
	}
	if saved != 1 {
		t.Errorf("of eight at once behind entry 2 %d were saved, want 1", saved)
	}
	all(t, l, 3)
}

func testLarge(t *testing.T, l events.Log) {
	const n = 2345 // more than two batches of any store, and not a round number
	must(t, l, Draft(700))
	if _, err := l.AppendAll(t.Context(), Drafts(1, n)); err != nil {
		t.Fatalf("AppendAll of %d = %v", n, err)
	}
	if _, err := l.AppendAll(t.Context(), Drafts(1, n)); err != nil {
		t.Fatalf("the same again = %v", err)
	}
	all(t, l, n)
}

func testReadFrom(t *testing.T, l events.Log) {
	for n := range 10 {
		must(t, l, Draft(n))
	}
	for _, tt := range []struct {
		from events.Seq
		want []events.Seq
	}{{0, []events.Seq{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}}, {8, []events.Seq{8, 9, 10}}, {10, []events.Seq{10}}, {11, nil}, {1 << 60, nil}} {
		rs, err := Collect(l.Read(t.Context(), tt.from))
		if err != nil || !slices.Equal(seqs(rs), tt.want) {
			t.Errorf("Read(%d) = %v, %v; want %v", tt.from, seqs(rs), err, tt.want)
		}
	}
	for r := range l.Read(t.Context(), 3) {
		if r.Seq != 3 {
			t.Errorf("Read(3) begins with %d", r.Seq)
		}
		break // a reader may stop when it likes
	}
}

func testHostile(t *testing.T, l events.Log) {
	var ds []events.Draft
	for i, s := range hostile {
		d := Draft(i)
		d.Words, d.ObservedBy, d.Where, d.Payload = s, s, s, Remark{s}
		d.Extra = []events.Pair{{Key: s, Value: s}, {Key: s, Value: ""}}
		d.Source = events.Source{Name: "radio.txt", Line: i + 1, Raw: s}
		ds = append(ds, d)
		must(t, l, d)
	}
	for i, r := range all(t, l, len(ds)) {
		if !catalogue.SameFact(ds[i], r) || r.Source != ds[i].Source {
			t.Errorf("%.40q came back as %+v", hostile[i], r)
		}
	}
}

func testOwn(t *testing.T, l events.Log) {
	d := Draft(1)
	d.Extra = []events.Pair{{Key: "k", Value: "v"}}
	r := must(t, l, d)
	spoil := func(r events.Recorded) { r.Raw[0] ^= 0xff; r.Extra[0].Value = "spoilt" }
	spoil(r)
	d.Extra[0].Value = "spoilt too"
	for range 2 {
		rs := all(t, l, 1)
		if rs[0].Extra[0].Value != "v" {
			t.Errorf("the log changed with what a caller did to its own copy: %v", rs[0].Extra)
		}
		spoil(rs[0])
	}
	must(t, l, Draft(2))
	all(t, l, 2)
}

func testFollow(t *testing.T, l events.Log) {
	const before, writers, each = 50, 4, 50
	if _, err := l.AppendAll(t.Context(), Drafts(1, before)); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	var writing, reading sync.WaitGroup
	for range 3 {
		reading.Go(func() {
			want := events.Seq(7)
			for r, err := range l.Follow(ctx, want) {
				if err != nil || r.Seq != want {
					t.Errorf("Follow gave entry %d, %v; want %d", r.Seq, err, want)
					return
				}
				if want++; r.Seq == before+writers*each {
					return
				}
			}
			t.Errorf("Follow ended before entry %d", want)
		})
	}
	for w := range writers {
		writing.Go(func() {
			for n := range each {
				if _, err := l.Append(ctx, Draft(1000*(w+1)+n)); err != nil {
					t.Errorf("Append = %v", err)
					cancel()
				}
			}
		})
	}
	writing.Wait()
	reading.Wait()
}

func testFollowEnds(t *testing.T, l events.Log) {
	must(t, l, Draft(1))
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	n := 0
	for r, err := range l.Follow(ctx, 1) {
		if err != nil || r.Seq != 1 {
			t.Errorf("Follow gave %d, %v", r.Seq, err)
		}
		n++
		cancel()
	}
	if n != 1 {
		t.Errorf("Follow gave %d entries, want 1", n)
	}
}

func testEnded(t *testing.T, l events.Log) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := l.Append(ctx, Draft(1)); !errors.Is(err, context.Canceled) || !errors.Is(err, events.ErrNotSaved) {
		t.Errorf("Append with an ended context = %v, want ErrNotSaved and the context's error", err)
	}
	must(t, l, Draft(1))
	all(t, l, 1)
	if _, err := Collect(l.Read(ctx, 1)); !errors.Is(err, context.Canceled) {
		t.Errorf("Read with an ended context = %v, want the context's error", err)
	}
}

func testWriters(t *testing.T, l events.Log) {
	const writers, each = 8, 25
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			for n := range each {
				// Each draft is sent by two writers, as after a lost answer.
				if _, err := l.Append(t.Context(), Draft(1000*(w/2)+n)); err != nil {
					t.Errorf("Append = %v", err)
				}
			}
		})
	}
	wg.Wait()
	all(t, l, writers/2*each)
}

func testReopen(t *testing.T, l events.Log, reopen Opener) {
	if _, err := l.AppendAll(t.Context(), Drafts(1, 120)); err != nil {
		t.Fatal(err)
	}
	for n := 121; n <= 130; n++ {
		must(t, l, Draft(n))
	}
	want := all(t, l, 130)
	for round := range 3 {
		l = reopen(t)
		got := all(t, l, 130+round)
		for i := range want {
			if !bytes.Equal(got[i].Raw, want[i].Raw) {
				t.Fatalf("round %d: entry %d reads %s, want %s", round, i+1, got[i].Raw, want[i].Raw)
			}
		}
		if r := must(t, l, Draft(5)); r.Seq != 5 {
			t.Errorf("round %d: an old id gave entry %d, want 5", round, r.Seq)
		}
		must(t, l, Draft(1000+round))
	}
}

func seqs(rs []events.Recorded) []events.Seq {
	var out []events.Seq
	for _, r := range rs {
		out = append(out, r.Seq)
	}
	return out
}
