package findings

import (
	"slices"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections"
)

// minutes after the crash at 08:00 on the day of the stories, as a full time.
func after(d time.Duration) string {
	return time.Date(2025, 3, 1, 8, 0, 0, 0, time.FixedZone("", -5*3600)).Add(d).Format(time.RFC3339)
}

func TestNoticeRules(t *testing.T) {
	crash := line{"08:00", "SR-9", kinds.Mishap{Capacity: gal(9000)}}
	shut := line{"08:10", "SR-9", kinds.RoadClosed{Road: "SR-9"}}
	open := func(at string) line { return line{at, "SR-9", kinds.RoadOpened{Road: "SR-9"}} }
	call := func(at string) line {
		return line{at, "National Response Center", kinds.CallMade{Who: "duty officer"}}
	}
	note := func(at string) line { return line{at, "", kinds.Note{Text: "waiting"}} }
	leak := line{"08:05", "C1", kinds.LeakSeen{}}
	day := 24 * time.Hour
	runCases(t, []ruleCase{
		// 49 CFR 171.15: shut one hour or more; as soon as practical, not later than 12 h.
		{"closure-no-national-call", "59 min 59 s", 0, []line{crash, shut, open(after(10*time.Minute + 59*time.Minute + 59*time.Second))}},
		{"closure-no-national-call", "60 min", 1, []line{crash, shut, open("09:10")}},
		{"closure-no-national-call", "60 min, called", 0, []line{crash, shut, open("09:10"), call("09:20")}},
		{"national-call-late", "at 12:00:00 after", 0, []line{crash, shut, open("09:30"), call(after(12 * time.Hour))}},
		{"national-call-late", "at 12:00:01 after", 1, []line{crash, shut, open("09:30"), call(after(12*time.Hour + time.Second))}},
		{"national-call-late", "nothing wants it", 0, []line{crash, call(after(13 * time.Hour))}},
		{"national-call-late", "none by then", 1, []line{crash, shut, open("09:30"), note(after(13 * time.Hour))}},
		{"sheen-call", "an hour", 1, []line{crash, {"08:30", "Creek", kinds.SheenSeen{}}, call("09:30")}},
		{"sheen-call", "no sheen", 0, []line{crash, call("09:30")}},
		// 49 CFR 171.16: within 30 days of discovery, here three days after the crash.
		{"written-report-late", "day 30", 0, []line{crash, {after(3 * day), "C1", kinds.LeakSeen{}}, {after(33 * day), "", kinds.Note{Text: "5800.1 filed"}}}},
		{"written-report-late", "day 31", 1, []line{crash, {after(3 * day), "C1", kinds.LeakSeen{}}, {after(34 * day), "", kinds.Note{Text: "5800.1 filed"}}}},
		{"written-report-late", "none", 1, []line{crash, leak, note(after(40 * day))}},
		{"written-report-late", "nothing wants it", 0, []line{crash, note(after(40 * day))}},
		{"isolation-small", "150 ft", 0, []line{{"08:20", "", kinds.Decision{Choice: "keep clear", Isolate: quantity.Of(quantity.Feet(150))}}}},
		{"isolation-small", "149 ft", 1, []line{{"08:20", "", kinds.Decision{Choice: "keep clear", Isolate: quantity.Of(quantity.Feet(149))}}}},
		{"isolation-small", "with a fire", 1, []line{{"08:10", "Tank", kinds.FireSeen{}}, {"08:20", "", kinds.Decision{Choice: "keep clear", Isolate: quantity.Of(quantity.Feet(330))}}}},
	})
}

// A cargo tank of 1,000 gal or more that was damaged wants a written report though
// nothing leaked; 49 CFR 171.16.
func TestWrittenReportIsDueForDamageAlone(t *testing.T) {
	tank := func(capacity float64) []line {
		return []line{{"08:00", "SR-9", kinds.Mishap{Capacity: gal(capacity)}}, {"08:30", "Tank", kinds.DamageFound{Shell: "dented"}}}
	}
	got := timersOf(story(t, tank(9000)...), "due-written-report")
	if len(got) != 1 || got[0].At.Format("2 Jan") != "31 Mar" {
		t.Errorf("due-written-report = %+v, want one on 31 Mar, 30 days from 1 Mar", got)
	}
	if got := timersOf(story(t, tank(999)...), "due-written-report"); len(got) != 0 {
		t.Errorf("a tank of 999 gal with no release wants no report: %+v", got)
	}
}

// A release in transport of which the 911 operator was told wants no follow-up under
// 40 CFR 355.42(b).
func TestNoFollowUpForAReleaseInTransport(t *testing.T) {
	inc := judged(story(t, line{"08:00", "SR-9", kinds.Mishap{}}, line{"08:01", "911", kinds.CallReceived{Says: "tanker over, leaking"}}, line{"08:05", "C1", kinds.LeakSeen{}}), events.View{}, Defaults())
	for _, f := range inc.Findings {
		if f.Rule == "national-call-late" || f.Rule == "written-report-late" || f.Ref == "EPCRA" {
			t.Errorf("found %+v", f)
		}
	}
}

// TestToldOfReport: that a report is due, or a meter that stood at 5,800.1 gal, files none.
func TestToldOfReport(t *testing.T) {
	for text, want := range map[string]bool{
		"5800.1 filed": true, "DOT F 5800.1 sent by the carrier": true, "filed form 5800.1": true, "Written incident report sent": true,
		"carrier: report by 49 CFR 171.16 is in": true,
		"no written report so far":               false, "carrier will file the 5800.1": false, "5800.1 due in 30 days": false,
		"carrier told of the written report, not filed yet": false,
		"meter 15800.1": false, "L1 at 5800.1 gal": false, "meter 5800.12": false, "underwritten reporter": false, "": false,
	} {
		if got := tellsOfReport(text); got != want {
			t.Errorf("%q tells that the report was filed: %t, want %t", text, got, want)
		}
	}
}

// TestDuties: a duty to tell somebody stays in sight when it is met, with what was left
// of its time; while no record of it is there, with what is left by now, a minute after
// the last entry.
func TestDuties(t *testing.T) {
	crash := line{"08:00", "SR-9", kinds.Mishap{}}
	shut := line{"08:10", "SR-9", kinds.RoadClosed{Road: "SR-9"}}
	opened := line{"09:30", "SR-9", kinds.RoadOpened{Road: "SR-9"}}
	call := line{"10:00", "National Response Center", kinds.CallMade{Who: "duty officer"}}
	for name, c := range map[string]struct {
		lines  []line
		rule   string
		made   bool
		margin float64
	}{
		"called two hours after":          {[]line{crash, shut, opened, call}, "due-national-call", true, 600},
		"not recorded an hour and more":   {[]line{crash, shut, opened}, "due-national-call", false, 629},
		"a sheen, called 90 min after":    {[]line{crash, {"08:30", "Creek", kinds.SheenSeen{}}, call}, "sheen-call", true, -90},
		"a release, and no report so far": {[]line{crash, {"23:59", "C1", kinds.LeakSeen{}}}, "due-written-report", false, 30*24*60 - 1},
	} {
		inc := judged(story(t, c.lines...), events.View{}, Defaults())
		i := slices.IndexFunc(inc.Duties, func(d projections.Duty) bool { return d.Rule == c.rule })
		if i < 0 {
			t.Errorf("%s: no duty %s in %+v", name, c.rule, inc.Duties)
			continue
		}
		if d := inc.Duties[i]; d.Made.IsZero() == c.made || d.Margin.Value != c.margin || d.Limit == nil || len(d.From) == 0 {
			t.Errorf("%s: got %+v, want made %v with %g min left", name, d, c.made, c.margin)
		}
	}
	if got := judged(story(t, crash), events.View{}, Defaults()).Duties; len(got) != 0 {
		t.Errorf("a crash alone brings about %+v, want nothing", got)
	}
}
