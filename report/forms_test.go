package report

import (
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// blocks are what each form asks for: FEMA's ICS 201 and 214, and ICS 208-HM (3/98).
var blocks = map[Edition][]string{
	Briefing: {"1. Incident |", "2. Incident number", "3. Begun", "4. Map or sketch", "5. Situation, health and safety", "6. Prepared by",
		"7. Objectives", "8. Actions", "9. Organisation", "10. Resources", "Liaison officer", "Planning section chief"},
	Activity: {"1. Incident |", "2. Period", "3. Name", "4. Position", "5. Home agency", "7. Activities", "8. Prepared by"},
	Plan: {"Date prepared", "Period", "Hazmat group supervisor", "Technical specialist, reference", "Assistant safety officer, hazmat", "Entry leader",
		"Site access control leader", "Decon leader", "Safe refuge area manager", "Environmental health", "Entry team", "Backup", "Container", "Quantity",
		"Physical state", "pH", "IDLH", "Flash point", "Ignition temperature", "Vapour pressure", "Vapour density", "gravity", "LEL, UEL",
		"Flammable vapour", "Oxygen", "Toxic", "Radiation", "Decon, standard", "channels", "Medical monitoring", "Treatment and transport", "Weather",
		"Command post", "Zones", "Assembly areas", "Escape routes", "Entry objectives", "Changes to the standing procedures", "Emergency signal",
		"afety briefing"},
}

// TestFormsHaveEveryBlock makes each form of both incidents and of a log with one entry:
// every block stands there, and no number is without its entry.
func TestFormsHaveEveryBlock(t *testing.T) {
	logs := map[string][]events.Recorded{"one entry": sealed(t, []events.Draft{said(0, "SR-88", "", kinds.OnScene{Unit: []string{"Engine 7"}})})}
	for _, g := range goldens[:2] {
		logs[g.name] = g.log(t)
	}
	of := map[string]string{"one entry": "Engine 7", "quarry-bend": "Hazmat 2", "harrow-mill": "Safety Officer"}
	for name, log := range logs {
		for edition, want := range blocks {
			o := Options{Edition: edition}
			if edition == Activity {
				o.Of = of[name]
			}
			md := markdownOf(t, as(t, log, o))
			for _, w := range want {
				if !strings.Contains(md, w) && !(w == "Container" && name == "one entry") && !productBlock(w, name) {
					t.Errorf("%s of %s lacks the block %q", edition, name, w)
				}
			}
			for _, line := range uncited(md) {
				t.Errorf("%s of %s: no entry behind %q", edition, name, line)
			}
		}
	}
}

// productBlock reports whether a block stands only where a product is known.
func productBlock(block, log string) bool {
	switch block {
	case "Quantity", "Physical state", "pH", "IDLH", "Flash point", "Ignition temperature", "Vapour pressure", "Vapour density", "gravity", "LEL, UEL":
		return log == "one entry"
	}
	return false
}

// TestFormsSay holds what the forms say to what was logged.
func TestFormsSay(t *testing.T) {
	entry := kinds.InHot{Pair: "1", Suit: "level B", Air: "SCBA", Task: "look", Pressures: events.KeyedAmounts[quantity.PSI]{{Key: "P1A", Value: quantity.Of(quantity.PSI(4400))}}}
	log := sealed(t, []events.Draft{
		said(0, "SR-88", "", kinds.CallReceived{Call: "26-0881"}),
		said(1, "Command post", "", kinds.CommandTaken{Role: "IC", Unit: []string{"Battalion 3"}}),
		said(2, "", "", kinds.RoleGiven{Role: "Hazmat safety officer", Person: "Capt. Vane"}),
		said(3, "", "", kinds.RoleGiven{Role: "Safety", Person: "Lt. Orr"}),
		said(4, "", "", kinds.RoleGiven{Role: "Foam leader", Person: "Lt. Pell"}),
		said(5, "C1", "", kinds.ProductNamed{Product: "gasoline", UN: "1203"}),
		said(20, "Hot line", "", kinds.BriefingGiven{By: "Lt. Orr", Signal: "three blasts", Abort: []string{"10 % LEL"}}),
		said(32, "NE corner", "", entry),
	})
	plan := markdownOf(t, as(t, log, Options{Edition: Plan}))
	for _, want := range []string{
		"| Assistant safety officer, hazmat | Capt. Vane |", "| Safety officer | Lt. Orr |", "| Foam leader | Lt. Pell |", "| P1A | 1 | level B | SCBA |",
		"1203, named gasoline in C1", "before the first entry", "by 12 min", "three blasts", "10 % LEL",
	} {
		if !strings.Contains(plan, want) {
			t.Errorf("ICS 208-HM lacks %q", want)
		}
	}
	late := markdownOf(t, as(t, sealed(t, []events.Draft{said(32, "NE corner", "", entry), said(40, "", "", kinds.BriefingGiven{By: "Lt. Orr"})}), Options{Edition: Plan}))
	if !strings.Contains(late, "after the first entry") {
		t.Error("ICS 208-HM does not say that the briefing came after the first entry")
	}
	brief := markdownOf(t, as(t, log, Options{Edition: Briefing}))
	for _, want := range []string{"26-0881", "| Incident commander | Battalion 3 |", "| Liaison officer | *not recorded* |"} {
		if !strings.Contains(brief, want) {
			t.Errorf("ICS 201 lacks %q", want)
		}
	}
}

// TestActivityOfAPerson: a pair is named by its number, which is no other number.
func TestActivityOfAPerson(t *testing.T) {
	in := kinds.InHot{Pair: "1", Pressures: events.KeyedAmounts[quantity.PSI]{{Key: "P1A", Value: quantity.Of(quantity.PSI(4400))}}}
	log := sealed(t, []events.Draft{
		said(0, "Hot line", "", in),
		said(5, "Hot line", "", kinds.DeconDone{Pair: "1", Method: "wet"}),
		said(6, "Staging", "", kinds.OnScene{Unit: []string{"Engine 1"}}),
		said(7, "Hot line", "", kinds.DeconDone{Pair: "11", Method: "dry"}),
	})
	d := as(t, log, Options{Edition: Activity, Of: "p1a"})
	var got []events.Seq
	for _, r := range d.Activity {
		got = append(got, r.Seq)
	}
	if len(got) != 2 || got[0] != 1 || got[1] != 2 {
		t.Errorf("activity of P1A: entries %v, want 1 and 2", got)
	}
}
