package intake_test

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"runtime/debug"
	"slices"
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/intake"
	"tankside/events/kinds"
)

const head = "n,occurred_at,reported_at,channel,who,event,where,values,words\n"

func options() intake.Options {
	return intake.Options{Catalogue: kinds.Catalogue(), Incident: "Quarry Bend", Name: "log.csv"}
}

func readCSV(t *testing.T, text string) intake.Result {
	t.Helper()
	res, err := intake.CSV(strings.NewReader(text), options())
	if err != nil {
		t.Fatal(err)
	}
	return res
}

func texts(faults []intake.Fault) []string {
	var out []string
	for _, f := range faults {
		out = append(out, f.Error())
	}
	return out
}

func ids(ds []events.Draft) []events.ID {
	var out []events.ID
	for _, d := range ds {
		out = append(out, d.ID)
	}
	return out
}

func TestIncidentFilesComeInWhole(t *testing.T) {
	for name, rows := range map[string]int{"quarry-bend": 213, "harrow-mill": 90} {
		t.Run(name, func(t *testing.T) {
			b, err := os.ReadFile(filepath.Join("..", "..", "testdata", "incidents", name+".csv"))
			if err != nil {
				t.Fatal(err)
			}
			res := readCSV(t, string(b))
			if res.Rows != rows || len(res.Drafts) != rows {
				t.Errorf("got %d rows, %d drafts, want %d of both; faults:\n%s", res.Rows, len(res.Drafts), rows, strings.Join(texts(res.Faults), "\n"))
			}
			lines := strings.Split(strings.TrimSpace(string(b)), "\n")
			seen := map[events.ID]bool{}
			for i, d := range res.Drafts {
				if d.Source.Raw != strings.TrimRight(lines[i+1], "\r") || d.Source.Line != i+2 {
					t.Errorf("draft %d comes from line %d %q, want line %d %q", i, d.Source.Line, d.Source.Raw, i+2, lines[i+1])
				}
				if seen[d.ID] {
					t.Errorf("line %d has the id of another line", d.Source.Line)
				}
				if len(d.Extra) > 0 {
					t.Errorf("line %d: no field took %v", d.Source.Line, d.Extra)
				}
				seen[d.ID] = true
			}
		})
	}
}

func TestRowBecomesDraft(t *testing.T) {
	res := readCSV(t, head+`9,2025-10-14T20:52:00-05:00,2025-10-14T21:19:45-05:00,radio,Foam leader,foam_applied,Ditch,flow=125 gpm; ran=8 min; flow=130 gpm; crew=two; held=yes; mostly,"on, eight minutes"`+"\n")
	if len(res.Faults) > 0 || len(res.Drafts) != 1 {
		t.Fatalf("got %d drafts, faults %v", len(res.Drafts), texts(res.Faults))
	}
	d := res.Drafts[0]
	p := d.Payload.(kinds.FoamApplied)
	zone := time.FixedZone("", -5*3600)
	for _, tt := range []struct {
		what      string
		got, want any
	}{
		{"occurred", d.Occurred.At.Equal(time.Date(2025, 10, 14, 20, 52, 0, 0, zone)), true},
		{"reported", d.Reported.Equal(time.Date(2025, 10, 14, 21, 19, 45, 0, zone)), true},
		{"channel", d.Channel, events.Radio},
		{"device", d.Device, ""},
		{"by", d.ObservedBy, "Foam leader"},
		{"where", d.Where, "Ditch"},
		{"words", d.Words, "on, eight minutes"},
		{"incident", d.Incident, "Quarry Bend"},
		{"flow", p.Flow.String(), "125 gpm"},
		{"ran", p.Ran.String(), "8 min"},
		{"a value that holds a semicolon", p.Held, "yes; mostly"},
		{"the rest, in order", d.Extra, []events.Pair{{Key: "flow", Value: "130 gpm"}, {Key: "crew", Value: "two"}}},
	} {
		if !reflect.DeepEqual(tt.got, tt.want) {
			t.Errorf("%s: got %v, want %v", tt.what, tt.got, tt.want)
		}
	}
}

func TestColumnsByName(t *testing.T) {
	res := readCSV(t, "Event,weather,occurred_at,values\nnote,rain,2025-10-14,stray; text=hello; empty=\n")
	if len(res.Faults) > 0 || len(res.Drafts) != 1 {
		t.Fatalf("got %d drafts, faults %v", len(res.Drafts), texts(res.Faults))
	}
	d := res.Drafts[0]
	if d.Channel != events.File || d.Occurred.Form != events.Day {
		t.Errorf("got channel %q, form %q, want file and day", d.Channel, d.Occurred.Form)
	}
	want := []events.Pair{{Key: "values", Value: "stray"}, {Key: "empty", Value: ""}, {Key: "weather", Value: "rain"}}
	if !slices.Equal(d.Extra, want) {
		t.Errorf("kept %v, want %v", d.Extra, want)
	}
}

func TestTimes(t *testing.T) {
	rows := []string{
		"1,2025-10-14T21:10:00-05:00/2025-10-14T21:20:00-05:00,,,,note,,,a",
		"2,about 2025-10-14T21:10:00-05:00,,,,note,,,b",
		"3,2025-10-14,2025-10-15T01:00:00-05:00,,,note,,,c",
		"4,before #2,2025-10-14T21:40:00-05:00,,,note,,,d",
		"5,2025-10-14T21:10:00-05:00,,device,meter M2,note,,,e",
	}
	res := readCSV(t, head+strings.Join(rows, "\n"))
	if len(res.Faults) > 0 || len(res.Drafts) != len(rows) {
		t.Fatalf("got %d drafts, faults %v", len(res.Drafts), texts(res.Faults))
	}
	var forms []events.Form
	for _, d := range res.Drafts {
		forms = append(forms, d.Occurred.Form)
	}
	if want := []events.Form{events.Bracket, events.Bracket, events.Day, events.Before, events.Instant}; !slices.Equal(forms, want) {
		t.Errorf("got forms %q, want %q", forms, want)
	}
	if got := res.Drafts[3].Occurred.Entry; got != res.Drafts[1].ID {
		t.Errorf("row 4 is before %s, want row 2, which is %s", got, res.Drafts[1].ID)
	}
	if _, offset := res.Drafts[2].Occurred.At.Zone(); offset != -5*3600 {
		t.Errorf("a day has offset %d s, want that of the time it was told", offset)
	}
	if got := res.Drafts[4].Device; got != "meter M2" {
		t.Errorf("a device's entry was stamped by %q, want meter M2", got)
	}
}

// TestFaults pins each message: where, what and the way out, in one line.
func TestFaults(t *testing.T) {
	at := "1,2025-10-14T21:16:00-05:00,"
	for _, tt := range []struct{ name, text, want string }{
		{"empty", "", "log.csv:1: the file is empty; its first line must name the columns: n,occurred_at,reported_at,channel,who,event,where,values,words"},
		{"no header", at + ",,,note,,,hello\n", `log.csv:1: no column is named "occurred_at"; the first line names the columns, with commas between: n,occurred_at,reported_at,channel,who,event,where,values,words; it is "1,2025-10-14T21:16:00-05:00,,,,note,,,hello"`},
		{"column twice", "event,occurred_at,Event\n", `log.csv:1: the column "event" stands twice; give one of them another name`},
		{"UTF-16", "\xff\xfen\x00,\x00o\x00c\x00", `log.csv:1: "\xff\xfen\x00" is not UTF-8 text; save the file as UTF-8 and bring it in again`},
		{"unknown kind", head + at + ",,,foam_aplied,,,", `log.csv:2: event: "foam_aplied" is not a kind of entry; did you mean foam_applied? "note" takes anything else`},
		{"no kind", head + at + ",,,,,,hello", `log.csv:2: event: no kind is given; "note" takes anything that was said`},
		{"bad value", head + at + ",,,foam_applied,,flow=much,", `log.csv:2: values: flow: "much" does not begin with a number; write it as "12 gpm"; correct it, or move what was said to the words`},
		{"words for a count", head + at + ",,,mishap,,units=tractor-trailer,", `log.csv:2: values: units: "tractor-trailer" does not begin with a number; write a number first, such as 12, and any words after it; correct it, or move what was said to the words`},
		{"out of bounds", head + at + ",,,foam_applied,,mix=300 %,", `log.csv:2: values: mix: 300 % is outside 0 to 100 %; correct it, or move what was said to the words`},
		{"wrong unit", head + at + ",,,foam_applied,,flow=5 psi,", `log.csv:2: values: flow: "5 psi" is in psi, which is not a flow; use gpm, L/min, gal/h; correct it, or move what was said to the words`},
		{"no time", head + "1,,,,,note,,,hello", "log.csv:2: occurred_at: no time is given; write when it happened, a day such as 2025-10-14 if that is all, or before #n"},
		{"no day", head + "1,21:16,,,,note,,,hello", `log.csv:2: occurred_at: "21:16" has no day; write it as 2025-10-14T21:16:00-05:00`},
		{"no zone", head + "1,2025-10-14T21:16:00,,,,note,,,hello", `log.csv:2: occurred_at: "2025-10-14T21:16:00" is not a time; write it with its zone, as 2025-10-14T21:16:00-05:00, or only the day`},
		{"told without zone", head + at + "21:17,,,note,,,hello", `log.csv:2: reported_at: "21:17" is not a time with its zone; write it as 2025-10-14T21:16:00-05:00, or leave it empty`},
		{"before nothing", head + "1,before #7,,,,note,,,hello", `log.csv:2: occurred_at: no row has n "7"; name a row of this file, or give a time`},
		{"strikes no row", head + "1,2025-10-14,,,,struck,,entry=#7,", `log.csv:2: values: entry: no row has n "7"; name a row of this file, or write the id of an entry`},
		{"strikes itself", head + "1,2025-10-14,,,,struck,,entry=#1,", `log.csv:2: values: entry: it names itself; name another row, or write the id of an entry`},
		{"before itself", head + "1,before #1,,,,note,,,hello", `log.csv:2: occurred_at: it names itself; name another row, or give a time`},
		{"comma", head + at + ",,,note,,,hello, you", "log.csv:2: has 10 columns, the header has 9; put a value that holds a comma in quotes"},
		{"bare quote", head + at + `,,,note,,,say "hello"`, "log.csv:2:43: a quote stands inside a value; put the whole value in quotes, and write each quote in it twice"},
		{"open quote", head + at + `,,,note,,,"hello`, "log.csv:2:45: a value begins with a quote that is not closed where the value ends; put the whole value in quotes, and write each quote in it twice"},
		{"too long", head + at + ",,,note,,," + strings.Repeat("x", intake.MaxLine), "log.csv:2: is 262182 bytes long, the longest is 262144; put the bulk into a file of its own and say where it is"},
		{"NUL", head + at + ",,,note,,,a\x00b", "log.csv:2: words: holds a NUL byte, as a UTF-16 file or a damaged one does; save the file as UTF-8 and bring it in again"},
		{"Latin-1", head + at + ",,,note,Bergstra\xdfe,,", `log.csv:2: where: "Bergstra\xdfe" is not UTF-8 text; save the file as UTF-8 and bring it in again`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			res := readCSV(t, tt.text)
			if got := texts(res.Faults); !slices.Equal(got, []string{tt.want}) || len(res.Drafts) > 0 {
				t.Errorf("%d drafts, faults\n got %s\nwant %s", len(res.Drafts), strings.Join(got, "\n"), tt.want)
			}
		})
	}
}

// TestOpenQuoteCostsOneRow: a quote that is never closed must not swallow the rest.
func TestOpenQuoteCostsOneRow(t *testing.T) {
	res := readCSV(t, head+strings.Join([]string{
		`1,2025-10-14T21:16:00-05:00,,,,note,,,one`,
		`2,2025-10-14T21:17:00-05:00,,,,note,,,"two`,
		`3,2025-10-14T21:18:00-05:00,,,,note,,,three`,
		``,
		`4,2025-10-14T21:19:00-05:00,,,,note,,,"four, quoted`,
		`over two lines"`,
		`5,2025-10-14T21:20:00-05:00,,,,foam_aplied,,,`,
	}, "\r\n"))
	var words []string
	var lines []int
	for _, d := range res.Drafts {
		words = append(words, d.Words)
		lines = append(lines, d.Source.Line)
	}
	if want := []string{"one", "three", "four, quoted\nover two lines"}; !slices.Equal(words, want) {
		t.Errorf("got %q, want %q", words, want)
	}
	if want := []int{2, 4, 6}; !slices.Equal(lines, want) {
		t.Errorf("got lines %d, want %d", lines, want)
	}
	if res.Rows != 5 || res.Bad() != 2 || len(res.Faults) != 2 || res.Faults[0].Line != 3 || res.Faults[1].Line != 8 {
		t.Errorf("got %d rows, %d bad, faults %v; want 5, 2, lines 3 and 8", res.Rows, res.Bad(), texts(res.Faults))
	}
}

func TestIDsComeFromTheContent(t *testing.T) {
	row := "%d,2025-10-14T21:16:00-05:00,,radio,P1A,air_read,C4,LEL=%s,%s\n"
	file := func(n int, reading string) string {
		return "\ufeff" + head + fmt.Sprintf(row, n, "4 %", "again") + fmt.Sprintf(row, n+1, reading, "") + fmt.Sprintf(row, n+2, "4 %", "again") +
			fmt.Sprintf("%d,before #%d,2025-10-14T21:30:00-05:00,radio,P1A,note,,,hiss\n", n+3, n)
	}
	first := readCSV(t, file(1, "22 %"))
	if len(first.Drafts) != 4 || first.Drafts[0].ID == first.Drafts[2].ID {
		t.Fatalf("got %v, want 4 entries, two alike told apart; faults %v", ids(first.Drafts), texts(first.Faults))
	}
	if again := readCSV(t, strings.ReplaceAll(file(7, "22 %"), "\n", "\r\n")); !slices.Equal(ids(again.Drafts), ids(first.Drafts)) {
		t.Errorf("renumbered, ids are\n%v, were\n%v", ids(again.Drafts), ids(first.Drafts))
	}
	broken := readCSV(t, file(1, "lots"))
	if want := []events.ID{first.Drafts[0].ID, first.Drafts[2].ID, first.Drafts[3].ID}; !slices.Equal(ids(broken.Drafts), want) {
		t.Errorf("with one row broken, ids are\n%v, want\n%v", ids(broken.Drafts), want)
	}
	o := options()
	o.Incident = "Elsewhere"
	other, err := intake.CSV(strings.NewReader(file(1, "22 %")), o)
	if err != nil || other.Drafts[0].ID == first.Drafts[0].ID {
		t.Errorf("another incident's entry got the same id (%v)", err)
	}
}

func TestTooLarge(t *testing.T) {
	if _, err := intake.CSV(strings.NewReader(strings.Repeat("x", intake.MaxSize+1)), options()); err != intake.ErrTooLarge {
		t.Errorf("got %v, want %v", err, intake.ErrTooLarge)
	}
}

// TestRowsNameRows: a value that names another row of the file becomes the id that
// row gets, whatever the incident is called and however the rows are numbered.
func TestRowsNameRows(t *testing.T) {
	rows := []string{
		"#1,2025-10-14T21:00:00-05:00,,radio,P1A,note,,,a", "#2,2025-10-14T21:01:00-05:00,,radio,P1B,note,,,a",
		"#3,2025-10-14T21:05:00-05:00,,,,struck,,entry=#4; why=slip,", "#4,2025-10-14T21:06:00-05:00,,,,joined,,entry=#1; with=# 2,",
		"#5,before #3,2025-10-14T21:08:00-05:00,,,correction,,entry=#2; field=text; now=b; entry=#1,", "#6,2025-10-14T21:09:00-05:00,,,,pump_off,C4 to R1,leg=#1,",
	}
	read := func(incident string, offset int) []events.Draft {
		t.Helper()
		text := head + strings.Join(rows, "\n")
		for n := 6; n > 0; n-- {
			text = strings.NewReplacer(fmt.Sprintf("#%d,", n), fmt.Sprintf("#%d,", n+offset), fmt.Sprintf("#%d;", n), fmt.Sprintf("#%d;", n+offset), fmt.Sprintf("# %d,", n), fmt.Sprintf("# %d,", n+offset)).Replace(text)
		}
		text = strings.ReplaceAll(text, "\n#", "\n")
		o := options()
		o.Incident = incident
		res, err := intake.CSV(strings.NewReader(text), o)
		if err != nil || len(res.Faults) > 0 || len(res.Drafts) != len(rows) {
			t.Fatalf("%d drafts, faults %v, %v", len(res.Drafts), texts(res.Faults), err)
		}
		return res.Drafts
	}
	for _, incident := range []string{"Quarry Bend", "Mill"} {
		d := read(incident, 0)
		if got := d[2].Payload.(kinds.Struck); got.Entry != d[3].ID || got.Why != "slip" {
			t.Errorf("%s: %+v strikes another row than %s", incident, got, d[3].ID)
		}
		if got := d[3].Payload.(kinds.Joined); got.Entry != d[0].ID || got.With != d[1].ID {
			t.Errorf("%s: %+v does not join %s and %s", incident, got, d[0].ID, d[1].ID)
		}
		if got := d[4].Payload.(kinds.Correction); got.Entry != d[1].ID || d[4].Occurred.Entry != d[2].ID {
			t.Errorf("%s: %+v, before %s, does not correct %s before %s", incident, got, d[4].Occurred.Entry, d[1].ID, d[2].ID)
		}
		if want := []events.Pair{{Key: "entry", Value: string(d[0].ID)}}; !slices.Equal(d[4].Extra, want) {
			t.Errorf("%s: beside the correction %v, want %v", incident, d[4].Extra, want)
		}
		if got := d[5].Payload.(kinds.PumpOff); got.Leg != "#1" {
			t.Errorf("%s: the leg is %q, want #1: only a field of entries names a row", incident, got.Leg)
		}
	}
	if a, b := ids(read("Mill", 0)), ids(read("Mill", 40)); !slices.Equal(a[:5], b[:5]) {
		t.Errorf("renumbered, the ids are %v, were %v", b, a)
	}
}

// TestRowsThatNameEachOther: neither can have its id first; both are told of.
func TestRowsThatNameEachOther(t *testing.T) {
	res := readCSV(t, head+"1,before #2,2025-10-14T21:00:00-05:00,,,note,,,a\n2,2025-10-14T21:05:00-05:00,,,,struck,,entry=#1,\n3,2025-10-14,,,,note,,,c\n")
	want := []string{
		"log.csv:2: occurred_at: the row it names, in line 3, has a fault; put that right first",
		"log.csv:3: values: entry: it names line 2, which names it in turn; in one of them write the id of an entry",
	}
	if got := texts(res.Faults); !slices.Equal(got, want) || len(res.Drafts) != 1 {
		t.Errorf("%d drafts, faults\n got %s\nwant %s", len(res.Drafts), strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// A file in which every row is said to be before the next is as good as any other.
func TestLongChainOfBefore(t *testing.T) {
	const n = 40_000
	var b strings.Builder
	b.WriteString("n,occurred_at,event\n")
	for i := range n {
		fmt.Fprintf(&b, "%d,before #%d,note\n", i, i+1)
	}
	fmt.Fprintf(&b, "%d,2025-10-14T21:00:00-05:00,note\n", n)
	debug.SetMaxStack(32 << 20) // what such a chain must not need
	defer debug.SetMaxStack(1e9)
	res := readCSV(t, b.String())
	if len(res.Drafts) != n+1 || res.Drafts[0].Occurred.Entry != res.Drafts[1].ID {
		t.Errorf("%d drafts of %d rows, the first before %s, want %s", len(res.Drafts), n+1, res.Drafts[0].Occurred.Entry, res.Drafts[1].ID)
	}
}
