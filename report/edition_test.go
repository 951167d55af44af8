package report

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections"
)

// as makes the report of a log as the options say.
func as(t testing.TB, recorded []events.Recorded, o Options) Document {
	t.Helper()
	c := kinds.Catalogue()
	tl := c.NewTimeline(recorded, events.View{})
	d, err := BuildAs(c, projections.Fold(c, tl), tl, made, o)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// everyEdition is each edition that can be made of a log in which somebody is called
// person and something is called unit.
func everyEdition(person, unit string) []Options {
	return []Options{{}, {Units: SI}, {Edition: Public}, {Edition: Person, Of: person}, {Edition: Unit, Of: unit}, {Edition: Carrier}, {Edition: Fire},
		{Edition: Briefing}, {Edition: Plan}, {Edition: Activity, Of: person}}
}

// TestEditionsStandAlone makes every edition of both incidents as a page: its links
// lead somewhere, its elements are ours, and no number is without its entry.
func TestEditionsStandAlone(t *testing.T) {
	for _, in := range []struct{ file, name, unit string }{{"quarry-bend.csv", "Quarry Bend", "Hazmat 2"}, {"harrow-mill.csv", "Harrow Mill", "Hazmat 4"}} {
		log := incident(t, in.file, in.name)
		for _, o := range everyEdition("P1A", in.unit) {
			d := as(t, log, o)
			p := readPage(t, htmlOf(t, d))
			p.resolve(t)
			if len(p.links) < 5 {
				t.Errorf("%s, %s edition: %d links, want some", in.name, d.Edition, len(p.links))
			}
		}
	}
}

// body is what may not stand in a public report: a member of a pair, what a body did
// and what somebody breathed.
var body = regexp.MustCompile(`(?i)\bP[0-9][A-Z](?:\b|_)|pulse (?:in )?[0-9]|_pulse|heart rate|Highest 15 min average \| 8 h average|[0-9] psi/min`)

// TestPublicLeavesPeopleOut reads the public edition of both incidents in every format
// for a person's code, for vital signs and for what a person breathed; the full one
// has each of them, so that the search is known to find them.
func TestPublicLeavesPeopleOut(t *testing.T) {
	for _, g := range goldens[:2] {
		full, public := as(t, g.log(t), Options{}), as(t, g.log(t), Options{Edition: Public})
		if n := len(body.FindAllString(markdownOf(t, full), -1)); n < 50 {
			t.Errorf("%s: the full report names people %d times, want more than 50", g.name, n)
		}
		for form, text := range map[string]string{"Markdown": markdownOf(t, public), "HTML": htmlOf(t, public)} {
			if found := body.FindString(text); found != "" {
				t.Errorf("%s: the public edition in %s holds %q", g.name, form, found)
			}
			for _, x := range full.Exposure.People {
				if at := strings.Index(text, "| "+x.Person+" |"); at >= 0 {
					t.Errorf("%s: the public edition in %s has a row of %s", g.name, form, x.Person)
				}
			}
		}
		if got, want := public.State.Volume.Unaccounted.Value, full.State.Volume.Unaccounted.Value; got != want {
			t.Errorf("%s: the public edition has %g gal unaccounted for, the full one %g", g.name, got, want)
		}
	}
}

// TestPublicCodesNames puts the name of a person wherever one can stand.
func TestPublicCodesNames(t *testing.T) {
	teller := said(0, "Hot line", "Marlow Quint said so", kinds.Note{Text: "Marlow Quint is dizzy, pulse 140"})
	teller.ObservedBy = "Capt. Marlow Quint"
	log := sealed(t, []events.Draft{
		teller,
		said(2, "Command post", "", kinds.CommandTaken{Role: "IC", Person: "Dana Holloway"}),
		said(3, "Hot line", "", kinds.StopWork{Why: "Marlow Quint dizzy", Worker: "Marlow Quint"}),
		said(5, "Rehab", "", kinds.Injury{Person: "Marlow Quint", Sort: "illness", Hospital: "St. Anne"}),
		said(7, "Command post", "", kinds.CommentMade{Role: "medic", Text: "Marlow Quint was dizzy"}),
		said(7, "Command post", "", kinds.SectionWritten{Section: "well", Text: "Marlow Quint spoke up"}),
		said(8, "Command post", "Dana Holloway decided", kinds.Decision{Choice: "wait, says Capt. Marlow Quint", By: "Dana Holloway"}),
	})
	full, public := htmlOf(t, as(t, log, Options{})), htmlOf(t, as(t, log, Options{Edition: Public}))
	for _, secret := range []string{"Quint", "Holloway", "dizzy", "140", "St. Anne"} {
		if !strings.Contains(full, secret) {
			t.Errorf("the full edition lacks %q", secret)
		}
		if strings.Contains(public, secret) {
			t.Errorf("the public edition holds %q", secret)
		}
	}
	if want := "person 1"; !strings.Contains(public, want) {
		t.Errorf("the public edition lacks %q", want)
	}
}

// TestPersonHoldsOne: one person's record has that person's trips and no other code.
func TestPersonHoldsOne(t *testing.T) {
	md := markdownOf(t, as(t, incident(t, "quarry-bend.csv", "Quarry Bend"), Options{Edition: Person, Of: "p1a"}))
	if got := slices.Compact(slices.Sorted(slices.Values(regexp.MustCompile(`P[0-9][AB]`).FindAllString(md, -1)))); !slices.Equal(got, []string{"P1A"}) {
		t.Errorf("the record of P1A names %v", got)
	}
	for _, want := range []string{"103 min", "393 ppm", "pulse in 128"} {
		if !strings.Contains(md, want) {
			t.Errorf("the record of P1A lacks %q", want)
		}
	}
}

// TestEditionsUnknown: what cannot be made is refused with those that can.
func TestEditionsUnknown(t *testing.T) {
	c := kinds.Catalogue()
	tl := c.NewTimeline(incident(t, "quarry-bend.csv", "Quarry Bend"), events.View{})
	for _, o := range []Options{{Edition: Person, Of: "P9Z"}, {Edition: Unit, Of: "Engine 99"}} {
		_, err := BuildAs(c, projections.Fold(c, tl), tl, made, o)
		if err == nil || !strings.Contains(err.Error(), o.Of) || !strings.Contains(err.Error(), "in ") {
			t.Errorf("%s %s: got %v, want an error that names what there is", o.Edition, o.Of, err)
		}
	}
	for text, ok := range map[string]bool{
		"": true, "full": true, "Public": true, "person=P1A": true, "unit= Engine 7": true, "carrier": true, "fire": true,
		"ics201": true, "ICS208HM": true, "ics214=Safety Officer": true, "ics214": false, "ics201=P1A": false,
		"person": false, "unit=": false, "fire=7": false, "press": false,
	} {
		if _, _, err := ParseEdition(text); (err == nil) != ok {
			t.Errorf("edition %q: got %v, want it good: %v", text, err, ok)
		}
	}
}

// TestHostileInEveryEdition puts all awkward texts, one behind the other, everywhere and
// reads each edition back: its elements stay ours and its links lead somewhere.
func TestHostileInEveryEdition(t *testing.T) {
	var all strings.Builder
	for _, s := range nasty {
		all.WriteString(" " + s[:min(len(s), 300)]) // a long word is tried whole in the full edition
	}
	log := everywhere(t, strings.ToValidUTF8(all.String(), "?"))
	first := as(t, log, Options{})
	for _, o := range everyEdition(first.State.People[0].Person, first.State.Resources[0].Name) {
		p := readPage(t, htmlOf(t, as(t, log, o)))
		p.resolve(t)
	}
}

// TestMetric holds the conversions to values printed elsewhere: NIST Special
// Publication 811, 2008, appendix B.8.
func TestMetric(t *testing.T) {
	for _, c := range []struct {
		in   projections.Figure
		want float64
		unit string
	}{
		{projections.Exact(1, "gal", ""), 3.785412, "L"},
		{projections.Exact(1, "psi", ""), 6.894757, "kPa"},
		{projections.Exact(1, "lb", ""), 0.4535924, "kg"},
		{projections.Exact(1, "ft", ""), 0.3048, "m"},
		{projections.Exact(212, "F", ""), 100, "C"},
		{projections.Exact(5, "min", ""), 5, "min"},
	} {
		f := c.in
		toMetric(&f)
		if d := f.Value - c.want; d > 5e-7 || d < -5e-7 || f.Low != f.Value || f.High != f.Value || f.Unit != c.unit {
			t.Errorf("%g %s: got %g (%g to %g) %s, want %g %s", c.in.Value, c.in.Unit, f.Value, f.Low, f.High, f.Unit, c.want, c.unit)
		}
	}
	lacking := projections.Figure{Unit: "F"}
	if toMetric(&lacking); lacking.Known || lacking.Low != 0 || lacking.High != 0 {
		t.Errorf("an unknown temperature became %+v", lacking)
	}
}

// TestMetricLeavesTheIncident: turning the figures of a report leaves those of the
// incident, which shares its lists with it.
func TestMetricLeavesTheIncident(t *testing.T) {
	c := kinds.Catalogue()
	tl := c.NewTimeline(incident(t, "quarry-bend.csv", "Quarry Bend"), events.View{})
	inc := projections.Fold(c, tl)
	before := markdownOf(t, Build(c, inc, tl, made))
	for _, o := range []Options{{Units: SI}, {Edition: Public}, {Edition: Person, Of: "P1A"}} {
		if _, err := BuildAs(c, inc, tl, made, o); err != nil {
			t.Fatal(err)
		}
	}
	if after := markdownOf(t, Build(c, inc, tl, made)); after != before {
		t.Errorf("the report differs after other editions were made: %s", firstDifference(after, before))
	}
}

const someRates = "resource,operating_usd_per_h,standby_usd_per_h,edition\nengine 7,120,,County schedule of 2025\nLadder 9,200,50,County schedule of 2025\n"

// TestRates works out what hours cost, and says what is missing.
func TestRates(t *testing.T) {
	rates, err := ReadRates(strings.NewReader(someRates))
	if err != nil {
		t.Fatal(err)
	}
	log := sealed(t, []events.Draft{
		said(0, "SR-88", "", kinds.OnScene{Unit: []string{"Engine 7"}}),
		said(1, "SR-88", "", kinds.OnScene{Unit: []string{"Medic 5"}}),
		said(240, "SR-88", "", kinds.LeftScene{Unit: []string{"Engine 7"}, Operating: quantity.Of[quantity.Minutes](90), Standby: quantity.Of[quantity.Minutes](150)}),
	})
	d := as(t, log, Options{Rates: rates})
	if len(d.Bill.Rows) != 1 || d.Bill.Rows[0].Amount.Value != 180 || d.Bill.Rows[0].ForStand.Known || d.Bill.Total.Value != 180 {
		t.Errorf("got %+v, want one row of 90 min at 120 USD/h: 180 USD, and nothing for standby", d.Bill)
	}
	want := []string{"Medic 5: no rate in the file", "Ladder 9: in the file of rates, not in the log"}
	if !slices.Equal(d.Bill.Lacking, want) {
		t.Errorf("lacking: got %q, want %q", d.Bill.Lacking, want)
	}
	if md := markdownOf(t, d); !strings.Contains(md, "180 USD") || !strings.Contains(md, "County schedule of 2025") {
		t.Error("the report lacks the amount or the edition of the rates")
	}
}

// TestRatesRefused: a file that cannot be taken says in which row and why.
func TestRatesRefused(t *testing.T) {
	head := strings.Join(rateColumns, ",") + "\n"
	for text, want := range map[string]string{
		"":                             "first line",
		"name,rate\nx,1\n":             "first line",
		head + "Engine 7,120,,\n":      "no edition",
		head + ",120,,2025\n":          "no resource",
		head + "Engine 7,free,,2025\n": "operating",
		head + "Engine 7,1,-2,2025\n":  "standby",
		head + "Engine 7,NaN,,2025\n":  "operating",
		head + "Engine 7,1\n":          "wrong number of fields",
	} {
		if _, err := ReadRates(strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: got %v, want an error that says %q", text, err, want)
		}
	}
}
