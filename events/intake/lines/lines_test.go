package lines

import (
	"encoding/csv"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

var central = time.FixedZone("CDT", -5*3600)

// at is a clock time of the invented night: from 20:00 on of the first day, else of the
// second.
func at(clock string) time.Time {
	day := "2025-10-14"
	if clock < "20" {
		day = "2025-10-15"
	}
	out, err := time.ParseInLocation("2006-01-02 15:04", day+" "+clock, central)
	if err != nil {
		panic(err)
	}
	return out
}

// night is a context of the invented incident in the middle of the job: R1 here with L1
// running from C4, R2 and R3 expected, pair 1 in.
func night() Context {
	return Context{
		Incident: "Quarry Bend", Scribe: "Scribe", Now: at("23:30"), Mishap: at("20:31"),
		Trucks: []Truck{
			{Name: "R1", From: "Brackmoor Tank Lines", State: Here, Usable: Some(3800), Room: Some(3125), Bond: Some(0.5)},
			{Name: "R2", From: "Brackmoor Tank Lines", State: Expected, ETA: "22:30", Usable: Some(4300)},
			{Name: "R3", From: "Pellworth Reclaim", State: Gone, Holes: []string{"A", "B"}, Usable: Some(1900), Bond: Some(0.6)},
		},
		Compartments: []Compartment{
			{Name: "C1", Load: Some(2500)}, {Name: "C2", Load: Some(1400)}, {Name: "C3", Load: Some(950), Capacity: Some(1000)},
			{Name: "C4", Load: Some(1300), Pumped: Some(675)}, {Name: "C5", Load: Some(2550)},
		},
		Pairs: []Pair{
			{Name: "1", Members: []string{"P1A", "P1B"}, In: []string{"P1A", "P1B"}, Since: at("23:05"), EverIn: true, Air: map[string]float64{"P1A": 2980, "P1B": 3010}},
			{Name: "2", Members: []string{"P2A", "P2B"}, EverIn: true, InRehab: true}, {Name: "3", Members: []string{"P3A", "P3B"}, EverIn: true}, {Name: "4"},
		},
		Holes: []Hole{
			{ID: "C4-V", Compartment: "C4", Use: "vapour", Through: true, Plugged: true}, {ID: "C4-L", Compartment: "C4", Use: "liquid", Through: true},
			{ID: "C5-L", Compartment: "C5", Use: "liquid", Through: true},
		},
		Legs: []Leg{{
			ID: "L1", From: "C4", To: "R1", Meter: "skid M", Unit: "gal", Running: true, Start: at("23:06"),
			Readings: []MeterAt{{at("23:06"), 0}, {at("23:14"), 338}, {at("23:22"), 675}},
		}},
		Rods: []string{"G1", "G2"}, Ground: Some(14), GroundLimit: Some(25), BondLimit: Some(10),
		Leaks:  []Leak{{Where: "C4 dome lid", Rate: Some(3)}},
		Places: []string{"R1 hose end", "C4 dome", "C4 dome lid", "C5 ditch", "Staging", "Command post", "Hot line", "NE corner"},
		Roles:  []string{"Entry leader", "Safety Officer", "Transfer leader"},
		Units:  []string{"Hazmat 2", "Engine 7"},
		Entries: []Entry{
			{Seq: 13, ID: id(13), At: at("22:08"), Payload: kinds.ResistanceRead{Path: "bond", Resistance: quantity.Of[quantity.Ohms](1850)}, Line: told("Resistance read bond 1850 ohm.")},
			{Seq: 71, ID: id(71), At: at("23:30"), Who: "Transfer leader", Where: "C4 to R1", Payload: kinds.PumpOff{Leg: "L1", Meter: quantity.Of[quantity.Gallons](1012)}, Line: told("Pump off leg L1 meter 1012 gal.")},
			{Seq: 181, ID: id(181), At: at("23:31"), Payload: kinds.PumpOff{Leg: "L5", Meter: quantity.Of[quantity.Gallons](3537)}, Line: told("Pump off leg L5 meter 3537 gal.")},
		},
	}
}

// told is the report line of an entry.
func told(text string) func() string { return func() string { return text } }

func id(n int) events.ID { return events.ContentID(time.Unix(int64(n), 0), "entry") }

// scenes are the contexts that the table of lines names.
var scenes = map[string]func(*Context){
	"":        func(*Context) {},
	"outside": func(c *Context) { c.Pairs[0].In = nil },
	"stopped": func(c *Context) { c.Stops = []Stop{{Seq: 82, Where: "R1 hose end", Why: "benzene"}} },
	"litres": func(c *Context) {
		c.Now = at("03:47")
		c.Legs = []Leg{{ID: "L5", From: "C3", To: "R3A", Unit: "gal", Running: true, Readings: []MeterAt{{at("03:30"), 0}}}}
	},
	"nobonds":  func(c *Context) { c.Trucks[1].Bond, c.Trucks[1].BondBad = Some(1850), true },
	"noroom":   func(c *Context) { c.Trucks[0].Room = Some(100) },
	"noground": func(c *Context) { c.Ground = Maybe{} },
	"twoholes": func(c *Context) {
		c.Holes = append(c.Holes[2:], Hole{ID: "C5-V", Compartment: "C5", Use: "vapour", Through: true})
	},
	"morning": func(c *Context) { c.Now = at("04:02") },
}

// rows reads a table of testdata/lines.
func rows(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("../../../testdata/lines/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, rec := range all[1:] {
		m := map[string]string{}
		for i, name := range all[0] {
			m[name] = rec[i]
		}
		out = append(out, m)
	}
	return out
}

// becomes writes drafts as the tables have them: kind | where | values, those of two
// entries with " + " between.
func becomes(ds []events.Draft) string {
	var out []string
	for _, d := range ds {
		var vs []string
		for _, p := range kinds.Catalogue().Values(d.Payload) {
			vs = append(vs, p.Key+"="+p.Value)
		}
		out = append(out, strings.TrimSpace(string(d.Payload.Kind())+" | "+d.Where+" | "+strings.Join(vs, "; ")))
	}
	return strings.Join(out, " + ")
}

// TestFortyLines holds the lines that a scribe types most, and three other ways to say
// each.
func TestFortyLines(t *testing.T) {
	for _, row := range rows(t, "forty.csv") {
		ctx := night()
		scenes[row["scene"]](&ctx)
		r := Parse(ctx, row["line"])
		if got := becomes(r.Drafts); got != row["becomes"] {
			t.Errorf("%s: %q\n got %s\nwant %s\n(%s %v)", row["n"], row["line"], got, row["becomes"], r.Certainty, r.Hints)
		}
		if row["when"] != "" && !strings.Contains(whens(r.Drafts), row["when"]) {
			t.Errorf("%s: %q: happened at %s, want %s", row["n"], row["line"], whens(r.Drafts), row["when"])
		}
	}
}

func whens(ds []events.Draft) string {
	var out []string
	for _, d := range ds {
		out = append(out, d.Occurred.At.Format("15:04"))
	}
	return strings.Join(out, " ")
}

// TestSpoken holds what else is said on such a night: how it is read, or that it is kept
// as a note, as what is denied, wanted or to come is.
func TestSpoken(t *testing.T) {
	for _, row := range rows(t, "spoken.csv") {
		r := Parse(night(), row["line"])
		if got := becomes(r.Drafts); got != row["becomes"] || string(r.Certainty) != row["certainty"] || (r.Ask != nil) != (row["asks"] == "yes") {
			t.Errorf("%q: %s, asks %v:\n got %s\nwant %s", row["line"], r.Certainty, r.Ask != nil, got, row["becomes"])
		}
	}
}

func TestComplete(t *testing.T) {
	for _, tt := range []struct{ line, first string }{
		{"", "meter "},
		{"p1 o", "p1 out "},
		{"pa", "par 2"},
		{"c5 pl", "c5 plugged low"},
		{"r2 h", "r2 here"},
		{"2312 p1 o", "2312 p1 out "},
		{"plugd c5", "plugged c5"},
		{"lel 22 at ho", "lel 22 at Hot line"},
		{"p2 in 4400 4410 pu", "p2 in 4400 4410 pump watch"},
		{"taki", "taking the weight "},
		{"r1 on sc", "r1 on scene "},
	} {
		ctx := night()
		ctx.Tasks = []string{"pump watch", "plug C4"}
		ways := Complete(ctx, tt.line, len(tt.line))
		if len(ways) == 0 || len(ways) > MostCompletions {
			t.Errorf("%q: %d completions", tt.line, len(ways))
			continue
		}
		if got := tt.line[:ways[0].From] + ways[0].Text + tt.line[ways[0].To:]; got != tt.first {
			t.Errorf("%q becomes %q, want %q", tt.line, got, tt.first)
		}
	}
	if ways := Complete(night(), "p1 out 1200", 3); ways != nil {
		t.Errorf("completions inside a line: %v", ways)
	}
}

// TestFreshIncident reads the first lines of an incident that has taught nothing yet.
func TestFreshIncident(t *testing.T) {
	for _, tt := range []struct{ line, becomes, when string }{
		{"2031 rollover", "mishap |  |", "20:31"},
		{"tanker overturned on its right side, 5 compartments, 9200 gal", "mishap |  | lies=right side; capacity=9200 gal; compartments=5", ""},
		{"hazmat 2 here, 8 on board", "on_scene |  | unit=Hazmat 2; crew=8", ""},
		{"leak at c4 lid about 5 a minute", "leak_seen | C4 lid | guess_rate=about 5 gpm", ""},
		{"bill c1 2500 c2 1400", "load_stated | Bill of lading | C1=2500; C2=1400", "23:30"},
		{"r3 ordered a 1000 b 1900", "truck_ordered |  | truck=R3; A=1000; B=1900", "23:30"},
		{"hot 100 warm 250 cold 1330", "zones_set |  | hot=100; warm=250; cold=1330", "23:30"},
		{"driver says 8700 total", "load_stated | Driver | total=8700", ""},
		{"pair 1 in 2980 3010", "in_hot |  | pair=1; P1A=2980; P1B=3010", ""},
		{"bond r1 .5", "resistance_read | Tank shell to R1 | path=bond; resistance=0.5", ""},
		{"pump on c4 to r1", "pump_on | C4 to R1 | leg=L1; start=0 gal", ""},
		{"fix 1: 2", "note |  |", ""},
	} {
		r := Parse(Context{Incident: "x", Now: at("23:30")}, tt.line)
		if got := becomes(r.Drafts); got != tt.becomes || tt.when != "" && whens(r.Drafts) != tt.when {
			t.Errorf("%q becomes %s at %s, want %s %s (%v)", tt.line, got, whens(r.Drafts), tt.becomes, tt.when, r.Hints)
		}
		if r.Ask != nil {
			t.Errorf("%q asks %s", tt.line, r.Ask.Text)
		}
	}
}

// TestInstrumentUnit holds that a bare number is in the unit of the instrument that runs.
func TestInstrumentUnit(t *testing.T) {
	ctx := night()
	scenes["litres"](&ctx)
	ctx.Legs[0].Unit = "L"
	r := Parse(ctx, "pump off 3537")
	if got, want := becomes(r.Drafts), "pump_off | C3 to R3A | leg=L5; meter=3537 L"; got != want || r.Ask != nil {
		t.Errorf("becomes %s, asks %v; want %s and no question", got, r.Ask, want)
	}
	if !slices.ContainsFunc(r.Assumed, func(m Mark) bool { return m.What == "L" }) {
		t.Errorf("the unit is not marked as assumed: %v", r.Assumed)
	}
}

// TestTold holds who told it and by what way.
func TestTold(t *testing.T) {
	for _, tt := range []struct {
		line, who string
		channel   events.Channel
		device    string
	}{
		{"par 2", "", events.Typed, ""},
		{"safety says par 2", "Safety Officer", events.Typed, ""},
		{"safety: par 2", "Safety Officer", events.Typed, ""},
		{"par 2 from safety", "Safety Officer", events.Typed, ""},
		{"from safety, par 2", "Safety Officer", events.Typed, ""},
		{"runner par 2", "Runner", events.Runner, ""},
		{"runner slip: par 2", "Runner", events.Runner, ""},
		{"device m2 lel 9 c5 ditch", "M2", events.Device, "M2"},
		{"pair 1 says 22 percent at c4 lid", "Pair 1", events.Typed, ""},
		{"ic reports road open", "IC", events.Typed, ""},
	} {
		d := Parse(night(), tt.line).Drafts[0]
		if d.ObservedBy != tt.who || d.Channel != tt.channel || d.Device != tt.device {
			t.Errorf("%q is told by %q through %q, device %q; want %q, %q, %q", tt.line, d.ObservedBy, d.Channel, d.Device, tt.who, tt.channel, tt.device)
		}
	}
}

// TestSpokenNumbers holds how numbers are said over a radio.
func TestSpokenNumbers(t *testing.T) {
	for said, want := range map[string]string{
		"ten twelve": "1012", "twenty four sixty nine": "2469", "one eight five nine": "1859", "thirty eight forty": "3840", "point four": "0.4",
		"four point six": "4.6", "eight oh three": "803", "thirty eight hundred": "3800", "one thousand twelve": "1012", "one thousand and twelve": "1012",
		"twenty one five twenty": "21520", "twenty three seven hundred": "23700", "twelve nine eighty": "12980", "six seven five": "675",
		"three hundred thirty": "330", "two thousand six hundred": "2600", "zero": "0", "ninety": "90", "oh seven": "07",
	} {
		toks := speak(lex(said))
		if len(toks) != 1 || toks[0].num == nil || toks[0].num.text != want {
			t.Errorf("%q is %+v, want %s", said, toks, want)
		}
	}
}
