package cylinder

import (
	"errors"
	"fmt"
	"math"

	"tankside/events/quantity"
)

// Plan is one wearer's air for one entry, in pressures alone, so that it needs no size
// of bottle. Every allowance is on air.
type Plan struct {
	Start quantity.PSI     // on the gauge at the line
	Full  quantity.PSI     // of the bottle
	Falls float64          // psi a minute, of the wearer's own readings
	Alarm float64          // share of Full at which the alarm sounds
	In    quantity.Minutes // from the line to the work
	Out   quantity.Minutes // and back
	Decon quantity.Minutes // in the line of decontamination
}

// Check says what is wrong with a plan, nil when nothing is.
func (p Plan) Check() error {
	if !(p.Full > 0 && p.Start >= 0 && p.Falls > 0 && p.Alarm >= 0 && p.Alarm < 1) || math.IsInf(float64(p.Start)+float64(p.Full)+p.Falls, 0) {
		return fmt.Errorf("cylinder: %g of %g psi, falling %g psi a minute, alarm at a share of %g: want pressures and their fall above 0 and a share from 0 to 1", p.Start, p.Full, p.Falls, p.Alarm)
	}
	if !(p.In >= 0 && p.Out >= 0 && p.Decon >= 0) {
		return fmt.Errorf("cylinder: %g min in, %g out, %g for decon: none may be below 0", p.In, p.Out, p.Decon)
	}
	return nil
}

// AlarmAt returns the pressure at which the alarm sounds. It is a share of the full
// pressure, not of what the bottle began with.
func (p Plan) AlarmAt() quantity.PSI { return p.Full * quantity.PSI(p.Alarm) }

// TurnBack returns the pressure at which to turn round so as to be through decon when
// the alarm sounds:
//
//	alarm + Falls·(Out + Decon)
func (p Plan) TurnBack() quantity.PSI {
	return p.AlarmAt() + quantity.PSI(p.Falls*float64(p.Out+p.Decon))
}

// ToAlarm returns the minutes until the alarm, below 0 where it has sounded:
//
//	(Start − alarm)/Falls
func (p Plan) ToAlarm() quantity.Minutes { return p.until(p.AlarmAt()) }

// ToEmpty returns the minutes until the bottle is empty: Start/Falls.
func (p Plan) ToEmpty() quantity.Minutes { return p.until(0) }

// ToTurnBack returns the minutes until the turn-back pressure, below 0 past it.
func (p Plan) ToTurnBack() quantity.Minutes { return p.until(p.TurnBack()) }

// Work returns the minutes at the work: to the alarm, less the ways and decon. Below
// 0 the bottle does not allow the entry by its own figures.
func (p Plan) Work() quantity.Minutes { return p.ToAlarm() - p.In - p.Out - p.Decon }

func (p Plan) until(at quantity.PSI) quantity.Minutes {
	return quantity.Minutes(float64(p.Start-at) / p.Falls)
}

// Team returns the least of the members' minutes: a team turns round with the first.
// Source: common practice, no source.
func Team(members []quantity.Minutes) (quantity.Minutes, error) {
	if len(members) == 0 {
		return 0, errors.New("cylinder: a team of nobody has no time")
	}
	least := quantity.Minutes(math.Inf(1))
	for _, m := range members {
		if math.IsNaN(float64(m)) {
			return 0, errors.New("cylinder: a member's minutes are not known, so the team's are not")
		}
		least = min(least, m)
	}
	return least, nil
}
