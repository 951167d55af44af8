package console

import (
	"cmp"
	"fmt"
	"math"
	"time"

	"tankside/projections"
)

// tile is one of the six answers of the board that is read from three metres. A tile
// never moves; one that has no answer says so in its place.
type tile struct {
	Name  string
	Big   string // a few letters, as high as a hand
	Small string
	Level string // now, late, doubt or empty
}

func farBoard(v *view) any {
	return []tile{v.tileIn(), v.tileOut(), v.tileDue(), v.tileAir(), v.tileTruck(), v.tilePhase()}
}

func (v *view) tileIn() tile {
	in := v.inside()
	t := tile{Name: "In", Big: fmt.Sprint(len(v.State.Accountability.In)), Small: "nobody, by the log"}
	if len(in) > 0 {
		t.Small = in[0].Who + " " + in[0].For // the longest
		if n := len(in) - 1; n > 0 {
			t.Small += ", " + plural(n, "other", "others")
		}
		if v.State.Accountability.Backup == nil {
			t.Small, t.Level = "no backup named; "+t.Small, "now"
		}
	}
	return t
}

func (v *view) tileOut() tile {
	out := v.State.Volume.Transferred
	t := tile{Name: "Out of tank, gal", Big: "–"}
	if out.Known {
		t.Big = digits(out.Value, 0)
	}
	a := v.agreement()
	if t.Small = cmp.Or(a.Agree, notSaid); a.AgreeClass == "doubt" {
		t.Level = "doubt"
	}
	if out.Known && out.U > 0 {
		t.Small = "± " + digits(out.U, 0) + "; " + t.Small
	}
	if gone := v.State.Volume.Unaccounted; gone.Known {
		t.Small += "; unaccounted " + figure(gone)
	}
	return t
}

func (v *view) tileDue() tile {
	t := tile{Name: "Next due, min", Big: "–", Small: "nothing runs"}
	if len(v.Incident.Due) == 0 {
		return t
	}
	d := v.Incident.Due[0]
	left := d.At.Sub(v.At).Minutes()
	t.Name, t.Small, t.Level = "Next due", join(", ", d.What, d.Subject), d.Level
	if left < 0 {
		t.Name = "Late"
	}
	switch m := math.Abs(left); {
	case m < 180:
		t.Name, t.Big = t.Name+", min", digits(m, 0)
	case m < 48*60:
		t.Name, t.Big = t.Name+", h", digits(m/60, 0)
	default:
		t.Name, t.Big = t.Name+", days", digits(m/60/24, 0)
	}
	return t
}

// tileAir shows the worst LEL among the newest readings of the places, and benzene.
func (v *view) tileAir() tile {
	t := tile{Name: "LEL, %", Big: "–", Small: notSaid}
	worst, old := -1.0, ""
	newest := time.Time{}
	for _, a := range v.State.Air {
		n := len(a.Readings)
		if n == 0 || a.Quantity != "LEL" || !a.Readings[n-1].Value.Known {
			continue
		}
		last := a.Readings[n-1]
		if last.At.Best.After(newest) {
			newest, old = last.At.Best, "; last "+number(last.Value)+" at "+a.Place+", "+since(v.At, last.At.Best)+" old"
		}
		if v.At.Sub(last.At.Best) > freshAir || last.Value.Value <= worst {
			continue
		}
		worst = last.Value.Value
		t.Big, t.Small = number(last.Value), a.Place+", "+since(v.At, last.At.Best)+" old"
		if t.Level = ""; last.Over {
			t.Level = "now"
		}
	}
	if worst < 0 {
		t.Small = "none in half an hour" + old
	}
	if dose := v.dose(); dose != "" {
		t.Small += "; 15 min " + dose
	}
	return t
}

// freshAir is how old a reading may be and still be shown as the air of now.
// Common practice, no source.
const freshAir = 30 * time.Minute

func (v *view) tileTruck() tile {
	here, coming, room := 0, 0, projections.Figure{}
	name, bond, bad := "", "", false
	for _, t := range v.State.Trucks {
		switch {
		case !t.Gone.IsZero():
		case !t.Arrived.IsZero():
			here++
			if b, over := v.bond(t.Name); b != "" && !bad {
				bond, bad = t.Name+" "+b, over
			}
			for _, r := range v.State.Volume.Receivers {
				if r.Truck == t.Name && r.Room.Known && (name == "" || r.Net.Known) {
					room, name = r.Room, r.ID
				}
			}
		default:
			coming++
		}
	}
	t := tile{Name: "Truck room, gal", Big: "–", Small: fmt.Sprintf("%d here, %d to come", here, coming)}
	if room.Known {
		t.Big, t.Small = digits(room.Value, 0), name+"; "+t.Small
	}
	if t.Small = join("; ", bond, t.Small); bad {
		t.Level = "now"
	}
	return t
}

func (v *view) tilePhase() tile {
	name, start := v.phase()
	t := tile{Name: "Phase", Big: name, Small: "start " + notSaid}
	if !start.IsZero() {
		t.Small = "for " + since(v.At, start)
	}
	return t
}

// phase is what the incident has come to, and since when: the last of these that the
// log has begun.
func (v *view) phase() (string, time.Time) {
	begun := map[string]projections.Phase{}
	for _, p := range v.State.Phases {
		begun[p.Name] = p
	}
	holes := time.Time{}
	if len(v.State.Holes) > 0 {
		holes = v.State.Holes[0].Through.Best
	}
	for _, p := range []struct {
		name string
		at   time.Time
	}{
		{"upright", begun["lift"].End.Best},
		{"lift", begun["lift"].Start.Best},
		{"pump", begun["pumping"].Start.Best},
		{"drill", holes},
		{"ground", begun["grounding"].Start.Best},
		{"entry", begun["time to first entry"].End.Best},
		{"size-up", begun["size-up"].Start.Best},
	} {
		if !p.at.IsZero() {
			return p.name, p.at
		}
	}
	return "–", time.Time{}
}
