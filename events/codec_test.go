package events

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"

	"tankside/events/quantity"
)

func TestOlderVersionsAreRead(t *testing.T) {
	s := newScribe(t)
	r := s.write(10, meter("L1", 1012))
	for v, data := range map[string]string{"1": `{"gallons":1012}`, "2": `{"line":"L1","meter":{"value":1012,"unit":"gal"}}`} {
		raw := bytes.Replace(r.Raw, []byte(`"v":3`), []byte(`"v":`+v), 1)
		i := bytes.Index(raw, []byte(`"data":`))
		raw = append(raw[:i:i], `"data":`+data+`}`...)
		got, err := s.c.Open(raw)
		if err != nil || len(got.Faults) > 0 || got.Payload.(pumped).Meter != r.Payload.(pumped).Meter || got.Payload.(pumped).Leg != "L1" {
			t.Errorf("version %s read as %+v, faults %v, %v; want L1 1012 gal", v, got.Payload, got.Faults, err)
		}
	}
}

func TestFutureIsCarried(t *testing.T) {
	s := newScribe(t)
	r := s.write(10, meter("L1", 1012))
	for what, raw := range map[string][]byte{
		"kind":    bytes.Replace(r.Raw, []byte(`"kind":"pumped"`), []byte(`"kind":"teleported"`), 1),
		"version": bytes.Replace(r.Raw, []byte(`"v":3`), []byte(`"v":9`), 1),
	} {
		got, err := s.c.Open(raw)
		u, ok := got.Payload.(Unknown)
		if err != nil || !ok || len(got.Faults) == 0 || !strings.Contains(u.JSON, "1012") || !bytes.Equal(got.Raw, raw) {
			t.Errorf("future %s: %+v, faults %v, %v; want it carried whole and named", what, got.Payload, got.Faults, err)
		}
		tl := s.c.NewTimeline([]Recorded{got}, View{})
		if !strings.Contains(s.c.Line(tl.Entries[0].Payload), "1012") {
			t.Errorf("future %s is shown as %q", what, s.c.Line(tl.Entries[0].Payload))
		}
	}
}

// A later program may say more of a time or a source, or know another form of time.
func TestFutureEnvelopeIsCarried(t *testing.T) {
	s := newScribe(t)
	r := s.write(10, meter("L1", 1012), func(d *Draft) { d.Source = Source{Name: "a.csv", Line: 3} })
	for in, mark := range map[[2]string]string{
		{`"occurred":{`, `"occurred":{"season":"fall",`}: `season="fall": not part of a time`,
		{`"source":{`, `"source":{"page":{"n":2},`}:      `page={"n":2}: not part of a source`,
		{`"kind":`, `"mood":["calm"],"kind":`}:           `mood=["calm"]: not part of an entry`,
		{`"occurred":{`, `"occurred":{"form":"tide",`}:   `form "tide"`,
	} {
		raw := bytes.Replace(r.Raw, []byte(in[0]), []byte(in[1]), 1)
		got, err := s.c.Open(raw)
		if p, _ := got.Payload.(pumped); err != nil || p.Leg != "L1" || !strings.Contains(strings.Join(got.Faults, "; "), mark) {
			t.Errorf("%s: read %+v, faults %q, %v; want it read and %q named", in[1], got.Payload, got.Faults, err, mark)
		}
		if d, err := s.c.OpenDraft(raw); err == nil && s.c.Validate(d) == nil {
			t.Errorf("%s: taken in as a draft, from which it would be missing", in[1])
		}
	}
}

func TestStoredFaultsAreKeptAndMarked(t *testing.T) {
	s := newScribe(t)
	r := s.write(10, meter("L1", 1012))
	for in, mark := range map[string]string{
		`"meter":null`: "null", `"meter":{"value":-5,"unit":"gal"}`: "outside", `"meter":{"value":5,"unit":"psi"}`: "unit",
		`"meter":{"value":5,"unit":"gal"},"depth":3`: "depth=3", `"mark":["a",7]`: "mark",
	} {
		raw := bytes.Replace(r.Raw, []byte(`"meter":{"value":1012,"unit":"gal"}`), []byte(in), 1)
		got, err := s.c.Open(raw)
		if err != nil {
			t.Errorf("%s: %v", in, err)
			continue
		}
		p, _ := got.Payload.(pumped)
		if p.Leg != "L1" || !strings.Contains(strings.Join(got.Faults, "; "), mark) {
			t.Errorf("%s: read %+v with faults %q; want the leg kept and %q named", in, got.Payload, got.Faults, mark)
		}
	}
}

func TestNotAnEntry(t *testing.T) {
	s := newScribe(t)
	r := s.write(10, meter("L1", 1012))
	for _, raw := range []string{"", "null", "{}", "[]", "hello", string(r.Raw[:len(r.Raw)-1]), string(r.Raw) + "x", `{"n":1,"n":2}`, "{\"n\":1,\"kind\":\"pumped\",\"data\":{},\"words\":\"\xff\"}"} {
		if got, err := s.c.Open([]byte(raw)); !errors.Is(err, ErrNotAnEntry) {
			t.Errorf("%q was opened as %+v, %v; want ErrNotAnEntry", raw, got, err)
		}
	}
}

func TestInvalidDraftsAreRefused(t *testing.T) {
	s := newScribe(t)
	good := Draft{ID: NewID(at(0)), Incident: "test", Occurred: At(at(0)), Payload: meter("L1", 5)}
	if _, err := s.c.Seal(good, "a", nil, at(1)); err != nil {
		t.Fatal(err)
	}
	for what, spoil := range map[string]func(*Draft){
		"id":           func(d *Draft) { d.ID = "short" },
		"incident":     func(d *Draft) { d.Incident = " . " },
		"no time":      func(d *Draft) { d.Occurred = When{} },
		"span":         func(d *Draft) { d.Occurred = When{Form: Span, At: at(5), To: at(4)} },
		"UTF-8":        func(d *Draft) { d.Words = "\xff" },
		"extra UTF-8":  func(d *Draft) { d.Extra = []Pair{{"k", "\xff"}} },
		"no payload":   func(d *Draft) { d.Payload = nil },
		"unknown kind": func(d *Draft) { d.Payload = Unknown{Name: "teleported"} },
		"bounds":       func(d *Draft) { d.Payload = meter("L1", 10_001) },
		"NaN":          func(d *Draft) { d.Payload = meter("L1", math.NaN()) },
		"unit": func(d *Draft) {
			d.Payload = pumped{Meter: quantity.Amount[quantity.Gallons]{Qual: quantity.Exactly, Best: 1, Unit: "psi"}}
		},
	} {
		d := good
		spoil(&d)
		if r, err := s.c.Seal(d, "a", nil, at(1)); !errors.Is(err, ErrInvalid) {
			t.Errorf("%s: sealed %s, %v; want ErrInvalid", what, r.Raw, err)
		}
	}
}

func TestDraftRoundTrip(t *testing.T) {
	s := newScribe(t)
	d := Draft{ID: NewID(at(0)), Incident: "test", Mode: Exercise, Occurred: Between(at(0), at(9)), Reported: at(10), ObservedBy: "a", RelayedBy: "b",
		RecordedBy: "c", Channel: Runner, Device: "d", Where: "e", Trust: Hearsay, Words: "f\n\u2028\x00", Grammar: "g", Extra: []Pair{{"k", "v"}, {"k", "w"}},
		Source: Source{"file.csv", 7, "raw"}, Payload: meter("L1", 5)}
	raw, err := s.c.EncodeDraft(d)
	if err != nil {
		t.Fatal(err)
	}
	got, err := s.c.OpenDraft(raw)
	if err != nil || !s.c.SameFact(d, Recorded{Draft: got}) || got.Source != d.Source || got.RecordedBy != d.RecordedBy {
		t.Errorf("read back %+v, %v; want %+v", got, err, d)
	}
}

func TestChain(t *testing.T) {
	s := newScribe(t)
	for i := range 3 {
		s.write(float64(i), meter("L1", float64(i)))
	}
	for i, r := range s.log {
		want := Hash{}
		if i > 0 {
			want = s.log[i-1].Hash
		}
		if r.Prev != want || r.Seq != Seq(i+1) {
			t.Errorf("entry %d: seq %d, prev %v; want %d, %v", i, r.Seq, r.Prev, i+1, want)
		}
	}
}

func TestIncidentID(t *testing.T) {
	for name, want := range map[string]string{"Quarry Bend": "quarry-bend", " quarry--bend! ": "quarry-bend", "I-405 #2": "i-405-2", "...": "", "Überlingen": "berlingen-"} {
		if got := IncidentID(name); got != want && !(strings.HasSuffix(want, "-") && strings.HasPrefix(got, want)) {
			t.Errorf("IncidentID(%q) = %q, want %q", name, got, want)
		}
	}
	long := strings.Repeat("a very long name ", 6)
	for _, name := range []string{"Quarry Bend", "東京", long, long + "and on", "x" + strings.Repeat("-y", 24), strings.Repeat("Ü long ", 12)} {
		if id := IncidentID(name); IncidentID(id) != id || len(id) > 57 {
			t.Errorf("IncidentID(%q) = %q, of that %q; want a token that stands for itself", name, id, IncidentID(id))
		}
	}
	if IncidentID(long) == IncidentID(long+"and on") {
		t.Error("long names must be told apart")
	}
	if IncidentID("東京") == IncidentID("大阪") || IncidentID("東京") == "" {
		t.Error("names outside a-z must be told apart")
	}
}

func BenchmarkOpen(b *testing.B) {
	s := newScribe(b)
	r := s.write(10, meter("L1", 1012), func(d *Draft) { d.Words, d.Where = "ten twelve and rising", "Skid meter" })
	b.SetBytes(int64(len(r.Raw)))
	for b.Loop() {
		if _, err := s.c.Open(r.Raw); err != nil {
			b.Fatal(err)
		}
	}
}
