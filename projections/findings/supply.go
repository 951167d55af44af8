package findings

import (
	"fmt"
	"strings"

	"tankside/events"
	"tankside/projections"
	"tankside/projections/calc/cylinder"
)

// supplies is the air of every trip on a bottle, those who went in and came out
// together as one.
func (c *scene) supplies() [][]*projections.Supply {
	if c.packed == nil {
		c.packed = groups(pointers(c.packs()), func(s *projections.Supply) crossed { return crossed{s.Pair, key(s.Interval)} })
	}
	return c.packed
}

// pointers are those to the members of a list that are too long to move about.
func pointers[T any](list []T) []*T {
	out := make([]*T, len(list))
	for i := range list {
		out[i] = &list[i]
	}
	return out
}

// crossed is a team that went in and came out together.
type crossed struct {
	pair string
	ends
}

func wearer(s *projections.Supply) string { return s.Person }

// assumed says that a finding stands on a bottle nobody named.
func assumed(s *projections.Supply) []string {
	if s.Bottle != "" {
		return nil
	}
	return []string{fmt.Sprintf("no entry says which bottle; its full pressure is taken as %.0f psi", s.Full.Value)}
}

// pressures words who crossed on how much: "P1A went in on 2980 psi, P1B on 3010 psi".
func pressures(team []*projections.Supply, crossed string, of func(*projections.Supply) projections.Figure) string {
	var out []string
	for _, s := range team {
		out = append(out, fmt.Sprintf("%s%s on %.0f psi", s.Person, crossed, of(s).Value))
		crossed = ""
	}
	return strings.Join(out, ", ")
}

// lowStart reports the trips that began on a bottle below the share.
func lowStart(c *scene) {
	for _, team := range c.supplies() {
		var low []*projections.Supply
		for _, s := range team {
			if limit := c.limit("share", s.Start.Best); s.Share.Known && limit.Past(s.Share.Value) {
				low = append(low, s)
			}
		}
		if len(low) == 0 {
			continue
		}
		worst, limit := low[0], c.limit("share", low[0].Start.Best)
		for _, s := range low {
			if s.Share.Value < worst.Share.Value {
				worst = s
			}
		}
		again := ""
		if worst.Reused {
			again = "; no fresh bottle is recorded since"
		}
		c.find(projections.Finding{
			Subject: names(low, wearer), Start: worst.Start, End: worst.Start, Observed: worst.Share, Limit: &limit, Confidence: assumed(worst),
			Statement: fmt.Sprintf("at %s %s; the lowest is %.0f %% of %.0f psi%s", clock(worst.Start.Best), pressures(low, " went in", began), worst.Share.Value, worst.Full.Value, again),
		})
	}
}

func began(s *projections.Supply) projections.Figure { return s.Began }
func ended(s *projections.Supply) projections.Figure { return s.Ended }

// outBelowAlarm reports the trips that ended below the low-air alarm.
func outBelowAlarm(c *scene) {
	for _, team := range c.supplies() {
		var worst *projections.Supply
		var share float64
		var low []*projections.Supply
		for _, s := range team {
			if !s.Ended.Known || !s.Full.Known {
				continue
			}
			of := 100 * s.Ended.Value / s.Full.Value
			if _, _, past := c.worst(of, s.End.Best, "alarm", "cautious"); past {
				low = append(low, s)
				if len(low) == 1 || of < share {
					worst, share = s, of
				}
			}
		}
		if len(low) == 0 {
			continue
		}
		limit, severity, _ := c.worst(share, worst.End.Best, "alarm", "cautious")
		c.find(projections.Finding{
			Severity: severity, Subject: names(low, wearer), Start: worst.End, End: worst.End, Limit: &limit, Confidence: assumed(worst), From: worst.Full.From,
			Observed:  projections.Exact(share, "%", "pressure out over the full pressure", worst.Ended.From...),
			Statement: fmt.Sprintf("at %s %s; the low-air alarm is at %.0f %% of %.0f psi", clock(worst.End.Best), pressures(low, " came out", ended), limit.Value, worst.Full.Value),
		})
	}
}

// pastTurnBack reports the trips whose wearer turned round below the turn-back
// pressure, as far as an order or the department says where that is.
func pastTurnBack(c *scene) {
	teams := c.supplies()
	known := len(teams) == 0 // nobody on a bottle: nothing to set
	for _, team := range teams {
		for _, s := range team {
			known = known || s.TurnBack.Known
			if !s.TurnBack.Known || !s.Ended.Known {
				continue
			}
			turned := s.Ended.Value + s.Rate.Value*float64(c.inc.Crew.Out) // on the way to the line
			limit := projections.Threshold{Op: "<", Value: s.TurnBack.Value, Unit: "psi", Source: c.rule.Source, Status: c.rule.Status, From: []events.Seq{}}
			if s.TurnBack.Method == "as ordered" {
				limit = siteLimit(limit, s.TurnBack.Value, s.TurnBack.From...)
			}
			if limit.Past(turned) {
				c.find(projections.Finding{
					Subject: s.Person, Start: s.End, End: s.End, Limit: &limit, Confidence: assumed(s),
					Observed:  projections.Exact(turned, "psi", "pressure out and what the way out took", s.Ended.From...),
					Statement: fmt.Sprintf("%s came out at %s on %.0f psi; the pressure to turn round at was %.0f psi", s.Person, clock(s.End.Best), s.Ended.Value, s.TurnBack.Value),
				})
			}
		}
	}
	if !known {
		c.off("no order and no department setting says at which pressure to turn round, or how long the way out and decontamination take")
	}
}

// pastRatedMinutes reports whoever was in for longer than the bottle is rated, out or
// not; where nobody named the bottle, for longer than any usual one is.
func pastRatedMinutes(c *scene) {
	for _, team := range c.supplies() {
		s := team[0]
		limit := c.limit("bottle", s.Start.Best)
		limit.Value, limit.Source, limit.From = s.Rated(), "rated minutes of the bottle, "+s.BottleBy, append([]events.Seq{}, s.Full.From...)
		if limit.Value == 0 {
			limit.Value, limit.Source, limit.From = cylinder.LongestRated(), "the longest of the usual bottles; no entry says which it was", []events.Seq{}
		}
		if s.Start.IsZero() || !limit.Past(s.Minutes.Value) {
			continue
		}
		c.find(projections.Finding{
			Subject: names(team, wearer), Start: s.Start, End: s.End, Minutes: s.Minutes, Observed: s.Minutes, Limit: &limit,
			Statement: fmt.Sprintf("in for %s min by the log, from %s to %s, on a bottle rated for %s min%s", number(s.Minutes.Value), clock(s.Start.Best), c.until(s.Interval), number(limit.Value), unsaid(s)),
		})
	}
}

func unsaid(s *projections.Supply) string {
	if s.Bottle != "" {
		return ""
	}
	return " at most"
}
