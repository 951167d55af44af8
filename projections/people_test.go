package projections

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

func personNamed(t *testing.T, inc *Incident, name string) Person {
	t.Helper()
	for _, p := range inc.People.List(inc.AsOf) {
		if p.Person == name {
			return p
		}
	}
	t.Fatalf("%s is not in the list", name)
	return Person{}
}

func TestHotZoneMinutes(t *testing.T) {
	for _, tt := range []struct {
		incident, person string
		minutes          float64
		trips            int
		longest          float64
	}{
		{"quarry-bend", "P1A", 103, 5, 28},
		{"quarry-bend", "P1B", 75, 4, 28},
		{"quarry-bend", "P2A", 107.5, 5, 32.5},
		{"quarry-bend", "P2B", 107.5, 5, 32.5},
		{"quarry-bend", "P3A", 97.5, 5, 27},
		{"quarry-bend", "P3B", 97.5, 5, 27},
		{"quarry-bend", "P4A", 0, 0, 0},
		{"quarry-bend", "P4B", 28, 1, 28},
		{"quarry-bend", "P5A", 32, 2, 22},
		{"quarry-bend", "P5B", 32, 2, 22},
		{"quarry-bend", "P6A", 28.5, 2, 20.5},
		{"quarry-bend", "P6B", 28.5, 2, 20.5},
		{"harrow-mill", "P1A", 35, 2, 21},
		{"harrow-mill", "P2B", 39, 2, 21},
		{"harrow-mill", "P3A", 40, 2, 21},
	} {
		t.Run(tt.incident+" "+tt.person, func(t *testing.T) {
			p := personNamed(t, folded(t, tt.incident, events.View{}), tt.person)
			if !p.Minutes.Exactly() || p.Minutes.Value != tt.minutes || p.Number != tt.trips || p.In {
				t.Errorf("got %+v min in %d trips, in %v; want %v in %d", p.Minutes, p.Number, p.In, tt.minutes, tt.trips)
			}
			if p.Longest.Value != tt.longest || p.Longest.Known != (tt.trips > 0) {
				t.Errorf("longest %+v, want %v", p.Longest, tt.longest)
			}
			if len(p.Minutes.From) != 2*tt.trips {
				t.Errorf("minutes come from entries %v, want two for each of %d trips", p.Minutes.From, tt.trips)
			}
		})
	}
}

// Pair 3 went in from 22:52 to 23:06 and the post was told at 23:21:10 and 23:21:40.
func TestUnloggedTripIsKnownOnlyOnceTold(t *testing.T) {
	for _, tt := range []struct {
		known   string
		trips   int
		minutes float64
		in      bool
	}{
		{"2025-10-14T23:20:00-05:00", 1, 22, false},
		{"2025-10-14T23:21:30-05:00", 2, 22 + 29.5, true}, // told in, not yet told out
		{"2025-10-14T23:22:00-05:00", 2, 22 + 14, false},
	} {
		inc := folded(t, "quarry-bend", events.View{KnownAt: at(t, tt.known)})
		p := personNamed(t, inc, "P3A")
		if p.Number != tt.trips || p.Minutes.Value != tt.minutes || p.In != tt.in {
			t.Errorf("known at %s: %d trips, %v min, in %v; want %d, %v, %v", tt.known, p.Number, p.Minutes.Value, p.In, tt.trips, tt.minutes, tt.in)
		}
	}
}

func TestWhoIsIn(t *testing.T) {
	then := at(t, "2025-10-14T22:53:00-05:00")
	for _, tt := range []struct{ name, known, want string }{
		{"with all that was told since", "", "P2A P2B P3A P3B"},
		{"as known then", "2025-10-14T23:20:00-05:00", "P2A P2B"},
	} {
		v := events.View{}
		if tt.known != "" {
			v.KnownAt = at(t, tt.known)
		}
		if got := strings.Join(folded(t, "quarry-bend", v).People.InAt(then), " "); got != tt.want {
			t.Errorf("%s: in at 22:53: %s, want %s", tt.name, got, tt.want)
		}
	}
}

func TestAirUsed(t *testing.T) {
	p := personNamed(t, folded(t, "quarry-bend", events.View{}), "P1A")
	first := p.Trips[0]
	if first.PressureIn.Value != 2980 || first.PressureOut.Value != 1240 || first.AirUsed.Value != 1740 || first.AirRate.Value != 1740.0/25 {
		t.Errorf("first trip of P1A: in %v, out %v, used %v, %v psi/min; want 2980, 1240, 1740, 69.6",
			first.PressureIn.Value, first.PressureOut.Value, first.AirUsed.Value, first.AirRate.Value)
	}
	none := personNamed(t, folded(t, "harrow-mill", events.View{}), "P1A")
	if none.AirUsed.Known || none.AirRate.Known || len(none.AirUsed.Missing) == 0 {
		t.Errorf("no pressure was told at Harrow Mill: got %+v", none.AirUsed)
	}
}

func spans(t *testing.T, inc *Incident, is []Interval) string {
	t.Helper()
	var out []string
	for _, i := range is {
		out = append(out, clock(i.Start.Best)+"-"+clock(i.Until(inc.AsOf)))
	}
	return strings.Join(out, " ")
}

func TestLateRollCalls(t *testing.T) {
	for _, tt := range []struct {
		incident string
		want     string // from-to minutes
	}{
		{"quarry-bend", "22:54-23:16 22; 23:16-23:46 30"},
		{"harrow-mill", "07:56-08:15 19; 08:35-09:17 42"},
	} {
		inc := folded(t, tt.incident, events.View{})
		var got []string
		for _, g := range inc.People.LateRolls(inc.AsOf) {
			got = append(got, fmt.Sprintf("%s-%s %v", clock(g.Start.Best), clock(g.End.Best), g.Minutes.Value))
		}
		if s := strings.Join(got, "; "); s != tt.want {
			t.Errorf("%s: late roll calls %s, want %s", tt.incident, s, tt.want)
		}
	}
}

func TestNobodyBackedUp(t *testing.T) {
	for _, tt := range []struct{ incident, want string }{
		{"harrow-mill", "07:56-08:06"},
		{"quarry-bend", "00:02-00:02:30 01:00-01:17 01:18-01:19 01:59:30-02:23 02:24-02:33 02:33:30-03:06 " +
			"03:17-03:28 03:29-03:51 03:51:30-04:12 04:16-04:26 04:54-05:02"},
	} {
		inc := folded(t, tt.incident, events.View{})
		if got := spans(t, inc, inc.People.Unbacked(inc.AsOf)); got != tt.want {
			t.Errorf("%s: in with no backup named %s, want %s", tt.incident, got, tt.want)
		}
	}
}

func TestOddCrossings(t *testing.T) {
	psi := func(kv ...any) (out events.KeyedAmounts[quantity.PSI]) {
		for i := 0; i < len(kv); i += 2 {
			out = append(out, events.Keyed[quantity.Amount[quantity.PSI]]{Key: kv[i].(string), Value: quantity.Of(quantity.PSI(kv[i+1].(int)))})
		}
		return out
	}
	for _, tt := range []struct {
		name    string
		rows    []line
		person  string
		known   bool
		minutes float64
		open    bool
		note    string
	}{
		{"in and out", []line{{"10:05", "", kinds.InHot{Pair: "1"}}, {"10:27", "", kinds.OutHot{Pair: "1"}}}, "P1A", true, 22, false, ""},
		{"two trips, worked by hand", []line{
			{"10:05", "", kinds.InHot{Pair: "1"}}, {"10:27", "", kinds.OutHot{Pair: "1"}},
			{"11:00", "", kinds.InHot{Pair: "1"}}, {"11:18", "", kinds.OutHot{Pair: "1"}},
		}, "P1B", true, 40, false, ""},
		{"still in", []line{{"10:05", "", kinds.InHot{Pair: "1"}}, {"10:30", "", kinds.Note{Text: "x"}}}, "P1A", true, 36*60 + 1 - (10*60 + 5), true, ""},
		{"never logged in", []line{{"10:27", "", kinds.OutHot{Pair: "7"}}}, "P7A", false, 0, false, "P7A came out at 10:27 but was never logged in"},
		{"logged in twice", []line{
			{"10:05", "", kinds.InHot{Pair: "1"}}, {"10:09", "", kinds.InHot{Person: []string{"P1A"}}}, {"10:25", "", kinds.OutHot{Pair: "1"}},
		}, "P1A", true, 20, false, "P1A was logged in again while in since 10:05"},
		{"stand-in comes out with the pair", []line{
			{"10:05", "", kinds.InHot{Pair: "4", Pressures: psi("P4B", 4400, "P1A", 4300)}}, {"10:25", "", kinds.OutHot{Pair: "4"}},
		}, "P1A", true, 20, false, ""},
		{"small letters", []line{
			{"10:05", "", kinds.InHot{Pair: "1"}}, {"10:25", "", kinds.OutHot{Person: []string{"p1a ", "P1b"}}},
		}, "P1A", true, 20, false, ""},
		{"another crew", []line{{"10:05", "", kinds.InHot{Pair: "Wrecker crew"}}, {"10:25", "", kinds.OutHot{Pair: "Wrecker crew"}}}, "Wrecker crew", true, 20, false, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			inc := toldOf(t, tt.rows...)
			p := personNamed(t, inc, tt.person)
			if p.Minutes.Known != tt.known || p.Minutes.Known && p.Minutes.Value != tt.minutes || p.In != tt.open {
				t.Errorf("got %+v, in %v; want %v min, in %v", p.Minutes, p.In, tt.minutes, tt.open)
			}
			if !tt.known && len(p.Minutes.Missing) == 0 {
				t.Errorf("unknown minutes do not say what is missing: %+v", p.Minutes)
			}
			if (tt.note == "") != (len(inc.People.Notes) == 0) ||
				tt.note != "" && !slices.ContainsFunc(inc.People.Notes, func(n Note) bool { return strings.HasPrefix(n.Text, tt.note) }) {
				t.Errorf("notes %v, want %q", inc.People.Notes, tt.note)
			}
		})
	}
}

func TestSoftAndSpannedTrips(t *testing.T) {
	soft := toldOf(t, line{"10:00/10:10", "", kinds.InHot{Pair: "1"}}, line{"10:30", "", kinds.OutHot{Pair: "1"}})
	if m := personNamed(t, soft, "P1A").Minutes; m.Value != 25 || m.Low != 20 || m.High != 30 {
		t.Errorf("in between 10:00 and 10:10, out at 10:30: got %+v, want 25 (20 to 30)", m)
	}
	span := story(t, line{"10:05", "", kinds.InHot{Pair: "1"}})
	span.Entries[0].Occurred.Form = events.Span
	span.Entries[0].Occurred.To = span.Entries[0].Occurred.At.Add(20 * time.Minute)
	if p := personNamed(t, Fold(kinds.Catalogue(), span), "P1A"); p.Minutes.Value != 20 || p.In {
		t.Errorf("told as one stay of 20 min: got %+v, in %v", p.Minutes, p.In)
	}
}

// A stay told as a whole that reaches into the next one is named: nobody is in twice.
func TestInTwiceAtOnce(t *testing.T) {
	span := story(t, line{"10:05", "", kinds.InHot{Pair: "1"}}, line{"10:15", "", kinds.InHot{Pair: "1"}}, line{"10:40", "", kinds.OutHot{Pair: "1"}})
	span.Entries[0].Occurred.Form = events.Span
	span.Entries[0].Occurred.To = span.Entries[0].Occurred.At.Add(20 * time.Minute)
	notes := Fold(kinds.Catalogue(), span).People.Notes
	if len(notes) != 2 || notes[0].Text != "P1A went in before coming out of another trip at 10:25: in twice at once" {
		t.Errorf("notes %v, want one for each of the pair", notes)
	}
}

func TestLongStays(t *testing.T) {
	inc := folded(t, "harrow-mill", events.View{})
	var got []string
	for _, s := range inc.People.LongStays(inc.AsOf) {
		got = append(got, fmt.Sprintf("%s %s %v over %v", s.Person, clock(s.Start.Best), s.Minutes.Value, s.Limit.Value))
	}
	want := "P1A 06:24 21 over 20; P1B 06:24 21 over 20; P2A 08:35 21 over 20; P2B 08:35 21 over 20; P3A 08:56 21 over 15; P3B 08:56 21 over 15"
	if s := strings.Join(got, "; "); s != want {
		t.Errorf("long stays: %s; want %s", s, want)
	}
}

// Four were in while the roll call counted two: the trip that nobody called.
func TestRollCallAgainstTheLog(t *testing.T) {
	inc := folded(t, "quarry-bend", events.View{})
	want := []Note{
		{57, "roll call at 22:54 counts 2 in, the log has 4"},
		{65, "roll call at 23:16: 4 tags are turned and 2 are in"},
	}
	if !slices.Equal(inc.People.Notes, want) {
		t.Errorf("notes %v, want %v", inc.People.Notes, want)
	}
}

func TestRehabAndPosts(t *testing.T) {
	inc := folded(t, "harrow-mill", events.View{})
	p := personNamed(t, inc, "P2A")
	if len(p.Rehab) != 1 || p.Rehab[0].In.Temp.Value != 94.6 || p.Rehab[0].Symptoms != "shivering" || !p.Rehab[0].End.IsZero() {
		t.Errorf("rehab of P2A: %+v, want one stay, 94.6 F, shivering, no end", p.Rehab)
	}
	q := personNamed(t, inc, "P2B")
	if len(q.Posts) != 1 || q.Posts[0].Place != "R1 hose end" || q.Posts[0].Air != "none" || stay([]Interval{q.Posts[0].Interval}, "", inc.AsOf).Value != 56 {
		t.Errorf("posts of P2B: %+v, want R1 hose end for 56 min without air", q.Posts)
	}
	if len(personNamed(t, inc, "P1A").Rehab) != 0 {
		t.Errorf("P1A was never logged in rehab")
	}
}
