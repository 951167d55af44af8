package report

import (
	"fmt"
	"slices"
	"strings"

	"tankside/events"
	"tankside/projections"
)

// Edition is whom a report is for: what it holds and what it leaves out.
type Edition string

// The editions.
const (
	Full    Edition = "full"    // everything
	Public  Edition = "public"  // people coded; medical matters, what a person breathed and free words left out
	Person  Edition = "person"  // what one person did and breathed; for that person and the medical file
	Unit    Edition = "unit"    // what one unit did, as a log of its activity
	Carrier Edition = "carrier" // what the log holds for the carrier's written report
	Fire    Edition = "fire"    // what the log holds for the fire department's incident report

	Briefing Edition = "ics201"   // the incident briefing, after the blocks of ICS 201
	Plan     Edition = "ics208hm" // site safety and control, after the blocks of ICS 208-HM
	Activity Edition = "ics214"   // what one unit, person or post did, after the blocks of ICS 214
)

// Options say how a report is written.
type Options struct {
	Edition Edition // empty is full
	Of      string  // whom the edition is of, where it is of one
	Units   Units   // empty is US units, as the state has them
	Rates   *Rates  // what an hour of each unit costs; nil where nobody gave a file
	Paper   Paper   // reads the photographs; nil where the report is made without them
}

// Name is the name of a file of the edition, after that of the incident.
func (o Options) Name(incident string) string {
	if o.Edition == Full || o.Edition == "" {
		return incident
	}
	return strings.Trim(incident+"-"+string(o.Edition)+"-"+events.IncidentID(o.Of), "-")
}

// ParseEdition reads an edition as a user gives it: a word, or person=P1A, unit=Engine 7.
func ParseEdition(s string) (Edition, string, error) {
	word, of, _ := strings.Cut(strings.TrimSpace(s), "=")
	e, of := Edition(strings.ToLower(strings.TrimSpace(word))), strings.TrimSpace(of)
	switch e {
	case "":
		return Full, "", nil
	case Full, Public, Carrier, Fire, Briefing, Plan:
		if of == "" {
			return e, "", nil
		}
		return "", "", fmt.Errorf("the %s edition is of nobody in particular; leave out %q", e, "="+of)
	case Person, Unit, Activity:
		if of != "" {
			return e, of, nil
		}
		whom := string(e)
		if e == Activity {
			whom = "unit or person"
		}
		return "", "", fmt.Errorf("the %s edition is of one %s; say which, as in --edition %s=NAME", e, whom, e)
	}
	return "", "", fmt.Errorf("%q is no edition; use %s", s, EditionNames)
}

// EditionNames is how the editions are asked for.
const EditionNames = "full, public, person=NAME, unit=NAME, carrier, fire, ics201, ics208hm or ics214=NAME"

// first is the template an edition begins with.
func (d Document) first() string {
	if d.Edition == Full || d.Edition == Public {
		return "report.md"
	}
	if d.Edition == Activity {
		return string(Unit) + ".md"
	}
	return string(d.Edition) + ".md"
}

// Whole reports whether the edition holds every entry; the others hold those they cite.
func (d Document) Whole() bool { return d.Edition == Full || d.Edition == Public }

// Public reports whether people are coded and their own matters left out.
func (d Document) Public() bool { return d.Edition == Public }

// choose makes the state one of the edition, before anything is worked out from it.
func (d *Document) choose(o Options, tl *events.Timeline) error {
	if o.Units == SI {
		d.State = inMetric(d.State)
		for i := range d.Timeline {
			d.Timeline[i].Rows = rewritten(rewriter{text: besideMetric}, d.Timeline[i].Rows)
		}
	}
	switch d.Edition {
	case Public:
		d.publish(tl)
	case Person:
		return d.only(o.Of)
	case Unit, Activity:
		d.Activity = d.activity(o.Of)
		if len(d.Activity) == 0 {
			return fmt.Errorf("report: no entry speaks of %q; units in the log: %s; people: %s", o.Of, strings.Join(d.units(), ", "), either(strings.Join(d.persons(), ", "), "none"))
		}
	}
	return nil
}

// only leaves in the state what is of one person.
func (d *Document) only(person string) error {
	s := &d.State
	var all []string
	for _, p := range s.People {
		all = append(all, p.Person)
		if strings.EqualFold(p.Person, person) {
			d.Of = p.Person
		}
	}
	hurt := func(i projections.Injured) bool { return strings.EqualFold(i.Person, person) }
	if !slices.Contains(all, d.Of) && !slices.ContainsFunc(s.Accountability.Injuries, hurt) {
		return fmt.Errorf("report: nobody called %q is in the log; people in it: %s", person, either(strings.Join(all, ", "), "none"))
	}
	s.People = keep(s.People, func(p projections.Person) bool { return p.Person == d.Of })
	s.Supply = keep(s.Supply, func(x projections.Supply) bool { return x.Person == d.Of })
	s.Rest = keep(s.Rest, func(x projections.WorkRun) bool { return x.Person == d.Of })
	s.Exposure = keep(s.Exposure, func(x projections.Exposed) bool { return x.Person == d.Of })
	s.Findings = keep(s.Findings, func(f projections.Finding) bool { return f.Subject == d.Of })
	s.Accountability.Injuries = keep(s.Accountability.Injuries, hurt)
	d.alone(all)
	return nil
}

// alone puts "another" in the place of everybody else in the entries: a record of one
// person is no place for the pulse of the partner.
func (d *Document) alone(all []string) {
	codes := map[string]string{}
	for _, p := range all {
		if p != d.Of {
			codes[strings.ToLower(p)] = "another"
		}
	}
	w := rewriter{text: replacing(codes)}
	d.State = rewritten(w, d.State)
	for i := range d.Timeline {
		d.Timeline[i].Rows = rewritten(w, d.Timeline[i].Rows)
	}
}

// keep is a list of those that are wanted.
func keep[T any](list []T, wanted func(T) bool) []T {
	out := []T{}
	for _, x := range list {
		if wanted(x) {
			out = append(out, x)
		}
	}
	return out
}

// units are the names of the units in the log.
func (d *Document) units() (names []string) {
	for _, r := range d.State.Resources {
		names = append(names, r.Name)
	}
	if len(names) == 0 {
		return []string{"none"}
	}
	return names
}

// persons are the people in the log.
func (d *Document) persons() (names []string) {
	for _, p := range d.State.People {
		names = append(names, p.Person)
	}
	return names
}

// editionWords are what an edition is called and what it holds.
var editionWords = map[Edition]struct{ title, name, holds string }{
	Full: {title: "After-action report"},
	Public: {
		"Public report", "Public edition",
		"People are members and persons with a number, and posts. What concerns health, what a person breathed and free words are left out. " +
			"The program cannot know a name or an illness in every sentence: somebody must read this before it goes out.",
	},
	Person: {
		"Record of work and exposure", "One person's record",
		"It is confidential: for the person and the medical file.",
	},
	Unit: {"Activity log", "One unit's log", "What the unit told and what names it, and nothing else."},
	Carrier: {
		"Support for the carrier's report", "Carrier edition",
		"What the log holds for the written report of 49 CFR 171.16, which the carrier owes and files.",
	},
	Activity: {"Activity log", "One log of activity", "What the unit, person or post told and what names it, and nothing else."},
	Briefing: {"Incident briefing", "Incident briefing", "After the public blocks of ICS 201, as known at the moment the cover gives; --known-at makes it for another, as the hour of a handover."},
	Plan:     {"Site safety and control plan", "Site safety and control", "After the public blocks of ICS 208-HM. What a data sheet says is not in the log and is left for the reference specialist."},
	Fire:     {"Values for the fire incident report", "Fire edition", "What the log holds, by the names the form asks for."},
}

// Title is the heading of the edition.
func (d Document) Title() string {
	title := editionWords[d.Edition].title
	if d.Of != "" {
		title += " of " + d.Of
	}
	return title
}

// Name is what the edition is called; empty of the full one.
func (d Document) Name() string { return editionWords[d.Edition].name }

// Holds says what is in the edition and what is not.
func (d Document) Holds() string { return editionWords[d.Edition].holds }
