package lines

import (
	"strings"
	"testing"
	"time"

	"tankside/events"
)

// when reads a line and writes the time it was given as a form and its instants.
func when(ctx Context, line string) string {
	r := Parse(ctx, line)
	if len(r.Drafts) == 0 {
		return "nothing"
	}
	w := r.Drafts[0].Occurred
	const full = "2 15:04:05"
	switch w.Form {
	case events.Before:
		for _, e := range ctx.Entries {
			if e.ID == w.Entry {
				return "before " + e.At.Format(full)
			}
		}
	case events.Bracket:
		return "bracket " + w.From.Format(full) + " to " + w.To.Format(full)
	case events.Span:
		return "span " + w.At.Format(full) + " to " + w.To.Format(full)
	}
	return w.At.Format(full)
}

// TestStayTypedUpLater reads both ends of a stay that was typed many hours after it: what
// stands alone behind "out" is a time where "in" had one.
func TestStayTypedUpLater(t *testing.T) {
	for _, tt := range []struct{ line, want string }{
		{"p3 in at 2252, out 2306, from grounding", "22:52 in_hot |  | pair=3 + 23:06 out_hot |  | pair=3"},
		{"p3 in at 2252 4400 4380, out 2306 3100 3000", "22:52 in_hot |  | pair=3; P3A=4400; P3B=4380 + 23:06 out_hot |  | pair=3; P3A=3100; P3B=3000"},
		{"p3 in at 2252, out 1200 1300 at 2306", "22:52 in_hot |  | pair=3 + 23:06 out_hot |  | pair=3; P3A=1200; P3B=1300"},
		{"p3 in at 2252, out 2400 2350", "22:52 in_hot |  | pair=3 + 09:00 out_hot |  | pair=3; P3A=2400; P3B=2350"},
	} {
		r := Parse(Context{Now: at("09:00")}, tt.line)
		var got []string
		for _, d := range r.Drafts {
			got = append(got, d.Occurred.At.Format("15:04 ")+becomes([]events.Draft{d}))
		}
		if have := strings.Join(got, " + "); have != tt.want {
			t.Errorf("%q\n got %s\nwant %s", tt.line, have, tt.want)
		}
	}
}

func TestTimes(t *testing.T) {
	for _, tt := range []struct{ now, line, want string }{
		{"23:30", "par 2", "14 23:30:00"},
		{"23:30", "par 2 2322", "14 23:22:00"},
		{"23:30", "2322 par 2", "14 23:22:00"},
		{"23:30", "par 2 23:22", "14 23:22:00"},
		{"23:30", "par 2 at 2322", "14 23:22:00"},
		{"23:30", "par 2 at 23:22:30", "14 23:22:30"},
		{"00:03", "par 2 2352", "14 23:52:00"}, // midnight: yesterday's
		{"23:58", "par 2 2359", "14 23:59:00"}, // a minute ahead is today's
		{"23:30", "par 2 2336", "14 23:36:00"}, // soon: asked about, see TestMidnightAhead
		{"23:30", "par 2 0036", "14 00:36:00"}, // more than 5 min ahead is the day before
		{"23:30", "par 2 -3m", "14 23:27:00"},
		{"23:30", "par 2 3 min ago", "14 23:27:00"},
		{"23:30", "par 2 3 ago", "14 23:27:00"},
		{"23:30", "par 2 -90s", "14 23:28:30"},
		{"23:30", "par 2 just now", "14 23:30:00"},
		{"23:30", "foamed 2251-2306", "span 14 22:51:00 to 14 23:06:00"},
		{"23:30", "foamed from 2251 to 2306", "span 14 22:51:00 to 14 23:06:00"},
		{"00:10", "foamed 2350-0004", "span 14 23:50:00 to 15 00:04:00"},
		{"23:30", "foamed since 2251", "14 22:51:00"},
		{"23:30", "par 2 about 2322", "bracket 14 23:17:00 to 14 23:27:00"},
		{"23:30", "par 2 ~2322", "bracket 14 23:17:00 to 14 23:27:00"},
		{"23:30", "foamed between 2250 and 2255", "bracket 14 22:50:00 to 14 22:55:00"},
		{"23:30", "foamed before last", "before 14 23:31:00"},
		{"23:30", "foamed before 71", "before 14 23:30:00"},
		{"23:30", "par 2 :07", "14 23:07:00"},
		{"23:05", "par 2 :07", "14 23:07:00"},
		{"23:05", "par 2 :17", "14 22:17:00"},
		{"23:30", "r1 meter 1012", "14 23:30:00"}, // the meter wants the number
		{"23:30", "2312 r1 meter 640", "14 23:12:00"},
		{"23:30", "r1 meter 1012 2314", "14 23:14:00"},
		{"23:30", "stick r1 about 2322", "14 23:30:00"},
		{"23:30", "r2 eta 2315", "14 23:30:00"}, // the promise has its own field
		{"23:30", "truck came about 2322", "bracket 14 23:17:00 to 14 23:27:00"},
	} {
		ctx := night()
		ctx.Now = at(tt.now)
		if got := when(ctx, tt.line); got != tt.want {
			t.Errorf("at %s %q: %s, want %s", tt.now, tt.line, got, tt.want)
		}
	}
}

// chicago is a zone whose clocks change; the nights are those of the published rule of
// the United States, first Sunday in November and second in March at 02:00 (15 USC 260a).
func chicago(t *testing.T) *time.Location {
	t.Helper()
	z, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Skip("no zone data on this machine: ", err)
	}
	return z
}

func TestRepeatedHour(t *testing.T) {
	z := chicago(t)
	ctx := Context{Incident: "x", Now: time.Date(2025, 11, 2, 7, 45, 0, 0, time.UTC), Zone: z} // 01:45 CST
	r := Parse(ctx, "foamed 0130")
	if r.Ask == nil || !strings.Contains(r.Ask.Text, "01:30 comes twice tonight. D = first (CDT), S = second (CST)") {
		t.Fatalf("got question %+v", r.Ask)
	}
	for key, want := range map[string]string{EnterKey: "01:30 CST", "D": "01:30 CDT", "S": "01:30 CST"} {
		for _, c := range r.Ask.Choices {
			if got := c.Drafts[0].Occurred.At.Format("15:04 MST"); c.Key == key && got != want {
				t.Errorf("%s: %s, want %s", key, got, want)
			}
		}
	}
}

func TestSpringGap(t *testing.T) {
	z := chicago(t)
	ctx := Context{Incident: "x", Now: time.Date(2026, 3, 8, 9, 0, 0, 0, time.UTC), Zone: z} // 04:00 CDT
	r := Parse(ctx, "foamed 0230")
	if r.Ask == nil || len(r.Ask.Choices) != 2 {
		t.Fatalf("got question %+v", r.Ask)
	}
	var got []string
	for _, c := range r.Ask.Choices {
		got = append(got, c.Drafts[0].Occurred.At.Format("15:04 MST"))
	}
	if strings.Join(got, ", ") != "03:30 CDT, 01:30 CST" {
		t.Errorf("02:30, which does not come, offers %v, want 03:30 CDT, 01:30 CST", got)
	}
}

func TestMidnightAhead(t *testing.T) {
	ctx := night()
	ctx.Now = at("23:58")
	r := Parse(ctx, "foamed 0010")
	if r.Ask == nil || !strings.Contains(r.Ask.Text, "00:10 is 12 min ahead") {
		t.Fatalf("got question %+v", r.Ask)
	}
	if got := r.Ask.Choices[0].Drafts[0].Occurred.At; !got.Equal(at("00:10")) {
		t.Errorf("Enter keeps %v, want the coming 00:10", got)
	}
	if got := r.Ask.Choices[1].Drafts[0].Occurred.At; !got.Equal(at("00:10").AddDate(0, 0, -1)) {
		t.Errorf("Y keeps %v, want 00:10 of the day before", got)
	}
}
