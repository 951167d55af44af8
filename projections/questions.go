package projections

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/quantity"
	"tankside/projections/calc/transfer"
)

// Question is a number that does not fit, with what would explain it. Nothing is
// changed: a person finds out. It is asked on the entry that first shows it, so that
// a view of what was known then has it too.
type Question struct {
	Seq    events.Seq `json:"seq"`
	At     Moment     `json:"at"`
	About  string     `json:"about"` // leg L3, R2, the load
	What   string     `json:"what"`
	Why    string     `json:"why"`
	WayOut string     `json:"way_out"`
	// Settled lists the entries that answered it; the question stays for the record.
	Settled   []events.Seq `json:"settled,omitempty"`
	SettledAt Moment       `json:"settled_at"`

	on    []events.Seq // all entries it stands on
	names []string     // the legs and trucks it is about
}

// watched is what the readings of a leg's meter say interval by interval.
type watched struct {
	intervals []transfer.Interval
	at        []Reading // by place in the readings that were held against each other
	against   string    // in short, what speaks against the meter; "" for nothing
}

// watched holds each interval of a leg against what its pump did before.
func (k *ledger) watched(l *Leg) watched {
	if w, ok := k.watch[l]; ok {
		return w
	}
	var w watched
	var readings []transfer.Reading
	for _, r := range l.Readings {
		w.at = append(w.at, r)
		readings = append(readings, transfer.Reading{
			At: quantity.Minutes(l.pumpedUntil(r.At)), Total: quantity.Gallons(r.Reads.Value + r.base),
			Strokes: orUnread[quantity.PerMinute](r.Strokes), Air: quantity.PSI(transfer.Unread),
		})
	}
	pump := transfer.Unknown
	if rate := k.pump[l]; rate.Known {
		pump.Rate = quantity.GallonsPerMinute(rate.Value)
	}
	w.intervals = transfer.Intervals(readings, pump, transfer.Usual)
	for _, v := range w.intervals {
		if v.Verdict >= transfer.Slow {
			w.against = w.says(v)
			break
		}
	}
	k.watch[l] = w
	return w
}

func orUnread[Q quantity.Quantity](f Figure) Q {
	if !f.Known {
		return Q(transfer.Unread)
	}
	return Q(f.Value)
}

// pumpedUntil is the minutes for which the pump of a leg ran until a moment.
func (l *Leg) pumpedUntil(m Moment) float64 {
	f := Elapsed(l.Start, m, m.Best)
	for _, p := range l.Pauses {
		if !p.Start.Best.After(m.Best) {
			end := p.End
			if end.IsZero() || end.Best.After(m.Best) {
				end = m
			}
			f = f.Minus(Elapsed(p.Start, end, m.Best))
		}
	}
	return f.Value
}

// pumps is what is known of the pump of each leg from the leg before it through the
// same meter: its rate.
func (k *ledger) pumps() map[*Leg]Figure {
	out, last := map[*Leg]Figure{}, map[string]*Leg{}
	for _, l := range k.v.Legs {
		if before := last[l.Instrument]; before != nil && !before.Stop.IsZero() && !before.Stop.Best.After(l.Start.Best) {
			out[l] = k.legs[before].Rate
		}
		if l.Instrument != "" {
			last[l.Instrument] = l
		}
	}
	return out
}

// says is an interval in short: "53 gal in 7 min at 84 strokes a minute, where 367
// gal were to be expected by its strokes".
func (w watched) says(v transfer.Interval) string {
	to := w.at[v.To]
	text := fmt.Sprintf("%s in %s min", gallons(float64(v.Moved)), quantity.Digits(math.Round(float64(v.Minutes)*10)/10))
	if to.Strokes.Known {
		text += " at " + quantity.Digits(to.Strokes.Value) + " strokes a minute"
	}
	if v.Verdict == transfer.Backwards {
		return text + ": the register went down"
	}
	return text + ", where " + gallons(float64(v.Moved+v.Missing)) + " were to be expected by " + v.Basis.String()
}

// asked are the questions of the product, in the order in which they came up, with
// those that were answered since.
func (k *ledger) asked(s *VolumeState) []Question {
	open := k.openly(s)
	return inTurn(append(open, k.answeredSince(open)...))
}

// askedNow is asked for a board that cannot wait: those that were answered are the ones
// of the state before.
func (k *ledger) askedNow(s *VolumeState, before []Question) []Question {
	out := k.openly(s)
	for _, q := range before {
		if len(q.Settled) > 0 && !slices.ContainsFunc(out, q.same) {
			out = append(out, q)
		}
	}
	return inTurn(out)
}

// openly are the questions that the log raises as it stands.
func (k *ledger) openly(s *VolumeState) []Question {
	out := append(k.asking(), k.askLoad(s)...)
	k.v.whenAnswered(out)
	return out
}

// same reports whether two questions are one, perhaps in other words.
func (q Question) same(o Question) bool { return q.Seq == o.Seq && q.About == o.About }

// inTurn puts questions in the order in which they came up.
func inTurn(out []Question) []Question {
	slices.SortStableFunc(out, func(a, b Question) int { return int(a.Seq) - int(b.Seq) })
	return list(out)
}

// asking are the questions that the readings themselves raise.
func (k *ledger) asking() (out []Question) {
	temps := span{math.Inf(1), math.Inf(-1)}
	for _, l := range k.v.Legs {
		out = append(out, k.askRate(l)...)
		out = append(out, askUnit(l)...)
		out = append(out, askTemperature(l, temps)...)
		temps = temps.with(l.Temp)
	}
	out = append(out, k.overdrawn...)
	for i := range k.receivers {
		out = append(out, k.receivers[i].askRoom()...)
	}
	for _, n := range k.nets {
		out = append(out, n.ask()...)
	}
	return append(out, k.v.Load.askSums()...)
}

// askRate asks about the intervals of a leg in which its meter counted what its pump
// can hardly have moved.
func (k *ledger) askRate(l *Leg) (out []Question) {
	w := k.watched(l)
	for _, v := range w.intervals {
		if v.Verdict < transfer.Slow {
			continue
		}
		r := w.at[v.To]
		q := Question{Seq: lastOf(r.Reads.From), At: r.At, About: "leg " + l.ID, What: "meter: " + w.says(v), WayOut: rateWayOut[v.Verdict], on: w.at[v.From].Reads.From, names: []string{"leg " + l.ID}}
		q.Settled = k.answered(l, q.Seq)
		q.Why = fmt.Sprintf("%s from %s to %s", v.Verdict, clock(w.at[v.From].At.Best), clock(r.At.Best))
		out = append(out, q.suspecting(v.Suspects, "gal"))
	}
	return out
}

// rateWayOut is what to do about an interval that does not fit.
var rateWayOut = map[transfer.Verdict]string{
	transfer.Slow:      "look at the meter and its drive, and at the suction for air; stick the receiver; a misheard number is put right with a correction",
	transfer.Fast:      "ask for the reading again; stick the receiver; a misheard number is put right with a correction",
	transfer.Backwards: "ask for the reading again; a register that was put back or ran through is said with reset=yes",
}

// suspecting adds the slips that would explain a number.
func (q Question) suspecting(suspects []transfer.Suspect, unit string) Question {
	var texts []string
	for _, s := range suspects[:min(3, len(suspects))] {
		texts = append(texts, fmt.Sprintf("%s (%s %s)", s.Slip, quantity.Digits(math.Round(s.Value*10)/10), unit))
	}
	if len(texts) > 0 {
		q.Why += "; it would fit as " + strings.Join(texts, " or ")
	}
	return q
}

// askUnit asks about a meter that is read in another unit than it started in.
func askUnit(l *Leg) (out []Question) {
	for _, r := range l.Readings {
		if r.unit == "" || l.startUnit == "" || r.unit == l.startUnit {
			continue
		}
		out = append(out, Question{
			Seq: lastOf(r.Reads.From), At: r.At, About: "leg " + l.ID, What: "the meter started in " + l.startUnit + " and is read in " + r.unit,
			Why:     "one meter has one unit; " + gallons(r.Reads.Value) + " may have been said in " + l.startUnit,
			Settled: l.vouched("meter", lastOf(r.Reads.From)).settles(),
			on:      l.start.From,
			WayOut:  "ask which unit the face of the meter has, and put the reading right with a correction",
		})
	}
	return out
}

// span is from the lowest to the highest of some values.
type span struct{ low, high float64 }

func (s span) with(f Figure) span {
	if !f.Known {
		return s
	}
	return span{math.Min(s.low, f.Value), math.Max(s.high, f.Value)}
}

// askTemperature asks about the temperature of a leg that lies far from those of the
// legs before it and would not if its unit were another.
func askTemperature(l *Leg, before span) []Question {
	if !l.Temp.Known || before.low > before.high {
		return nil
	}
	fits := transfer.Range{Low: before.low - legsApart, Best: (before.low + before.high) / 2, High: before.high + legsApart}
	suspects := transfer.Slips(transfer.Temperature, l.Temp.Value, fits)
	if len(suspects) == 0 {
		return nil
	}
	others := quantity.Digits(before.low)
	if warmest := quantity.Digits(before.high); warmest != others {
		others += " to " + warmest
	}
	q := Question{
		Seq: lastOf(l.Temp.From), At: l.Stop, About: "leg " + l.ID, What: "product at " + quantity.Digits(l.Temp.Value) + " °F",
		Why:    "the other legs ran at " + others + " °F",
		WayOut: "ask which unit the thermometer shows, and put the temperature right with a correction",
	}
	return []Question{q.suspecting(suspects, "°F")}
}

// legsApart is how far the temperatures of two legs of one tank may lie apart before
// a slip is thought of, °F (judgement).
const legsApart = 15

// overHeld is how much more than its load may come out of a compartment before it is
// asked about, as a share: what paper and meter may be off together (judgement).
const overHeld = 0.05

// askRoom asks about a receiver that holds more than it may.
func (s *ReceiverState) askRoom() []Question {
	if !s.Room.Known || s.Room.Value >= -0.5 {
		return nil
	}
	return []Question{{
		on: s.Room.From, Seq: lastOf(s.Room.From), At: s.lastTold(), About: s.ID, What: fmt.Sprintf("%s holds %s more than it may, by %s", s.ID, gallons(-s.Room.Value), s.RoomBy),
		Why:    "by " + s.RoomBy + " it may hold " + gallons(s.Limits[0].Hold.Value) + ": " + s.Limits[0].Why,
		WayOut: "stop loading and stick it; ask the driver what it may take; put a wrong number right with a correction",
	}}
}

// lastTold is when the receiver was last sticked, or its last leg began or ended.
func (s *ReceiverState) lastTold() (m Moment) {
	for _, g := range s.Gauges {
		m = g.At
	}
	for _, l := range s.legs {
		for _, o := range []Moment{l.Start, l.Stop} {
			if o.Best.After(m.Best) {
				m = o
			}
		}
	}
	return m
}

// ask asks about readings of a truck that do not agree, unless a person has ruled.
func (n *network) ask() []Question {
	r := n.result
	if r == nil {
		return nil
	}
	q := Question{About: n.String(), Seq: n.newest(), At: n.newestAt(), What: "the readings of " + n.String() + " disagree", on: n.all(), names: n.about()}
	var parts []string
	for _, a := range r.SetAside {
		if !a.ByRule {
			parts = append(parts, fmt.Sprintf("%s is %s times its doubt away and is set aside: %s", n.problem.Streams[a.Stream].Name, quantity.Digits(math.Round(math.Abs(a.Z))), a.Why))
		}
	}
	for _, group := range r.Suspects {
		var names []string
		for _, i := range group {
			names = append(names, n.problem.Streams[i].Name)
		}
		parts = append(parts, "one of these is wrong, and the readings cannot tell which: "+strings.Join(names, "; "))
	}
	if len(parts) == 0 {
		return nil
	}
	q.Why = strings.Join(parts, "; ")
	q.WayOut = "take one more measurement, a stick or a scale; then rule: doubt_settled about the leg, with the ruling \"meter set aside\" or \"meter stands\""
	return []Question{q}
}

// newestAt is when the newest of the readings was taken.
func (n *network) newestAt() (m Moment) {
	for _, r := range n.receivers {
		s := ReceiverState{Receiver: r}
		if at := s.lastTold(); at.Best.After(m.Best) {
			m = at
		}
		if t := n.k.tickets[r]; t != nil && t.At.Best.After(m.Best) {
			m = t.At
		}
	}
	if m.IsZero() && len(n.legs) > 0 {
		m = n.legs[0].Stop
	}
	return m
}

// askLoad asks about a balance that ends below nothing by more than its doubt.
func (k *ledger) askLoad(s *VolumeState) (out []Question) {
	for _, b := range s.Balances {
		u := b.Unaccounted
		if b.Of != "load" || !u.Known || u.Value > -1 || -u.Value <= 2*u.U {
			continue
		}
		out = append(out, Question{
			Seq: lastOf(u.From), At: Moment{Best: k.now, Earliest: k.now, Latest: k.now, From: u.From}, About: "balance of the load, " + b.Product,
			What: gallons(-u.Value) + " more went than there was", Why: "twice its doubt is " + gallons(2*u.U),
			WayOut: "look for a reading counted twice, water counted as product, a unit, or a drop before the mishap that the load still holds",
		})
	}
	return out
}
