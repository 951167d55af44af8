package cli

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"tankside/events/quantity"
	"tankside/projections/calc/heat"
)

// heatFlags are the flags of heat as they were typed.
type heatFlags struct {
	wet, globe, air, suit, watts, minutes, sun string
}

// heatCaution is what everything the command heat says is worth.
const heatCaution = "worked out from what was typed; a rate of work judged by eye may be 30 % off, which the bounds show. In a suit the limit is passed on most days: work and rest, drink and how people are count, by the department's procedure and medical control. It informs and authorises nothing"

// Rates of work, W, where nobody said better: moderate work, and rest sitting down
// (usual tables of tasks, from memory).
const (
	moderate heat.Watts = 300
	sitting  heat.Watts = 115
)

// heatCommand says how hot it is at work in a suit.
func (a *App) heatCommand(*settings) *cobra.Command {
	f := &heatFlags{}
	cmd := &cobra.Command{
		Use:   "heat",
		Short: "How hot it is at work in a suit, beside the limits for work without rest",
		Long: `The wet bulb globe temperature from a wet bulb and a globe, what a suit adds to it, and
the limits for an hour of work by NIOSH: for those who are used to heat and those who
are not. With the air alone it says how often one plan looked at people in sealed suits.

It needs no incident, and stores nothing.`,
		Example: `  tankside heat --wet "25 C" --globe "45 C" --air "32 C" --suit encapsulating --watts 415 --minutes 45
  tankside heat --air 88 --sun 50`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			r, err := f.reckon()
			if err != nil {
				return userError{err}
			}
			if asJSON(cmd) {
				return a.printJSON(r)
			}
			return r.print(a.Out)
		},
	}
	flags := cmd.Flags()
	flags.SortFlags = false
	for _, d := range []struct {
		at         *string
		name, help string
	}{
		{&f.wet, "wet", "`temperature` of the natural wet bulb"},
		{&f.globe, "globe", "`temperature` in the black globe"},
		{&f.air, "air", "`temperature` of the air; with a wet bulb it says there is sun"},
		{&f.suit, "suit", "`kind`: " + strings.Join(clothes(), "; ")},
		{&f.watts, "watts", "`rate` of work in W: light 180, moderate 300, heavy 415 (without it 300)"},
		{&f.minutes, "minutes", "`time` at it of each hour, the rest of the hour sitting (without it all)"},
		{&f.sun, "sun", "`share` of sunshine (without it none)"},
	} {
		flags.StringVar(d.at, d.name, "", d.help)
	}
	return cmd
}

func clothes() (out []string) {
	for _, c := range heat.Clothes {
		out = append(out, c.Name)
	}
	return out
}

// heated is the answer of heat; what was not asked for is null.
type heated struct {
	WBGT  *heatLimits `json:"wbgt"`
	Check *heatCheck  `json:"check"`
	Taken []string    `json:"taken"`
	Note  string      `json:"note"`
}

// heatLimits are temperatures in °C and W.
type heatLimits struct {
	WBGT           float64    `json:"wbgt"`
	Suit           string     `json:"suit"`
	Adds           float64    `json:"adds"`
	Effective      float64    `json:"effective"`
	Watts          float64    `json:"watts"`          // mean of the hour
	Unacclimatised [3]float64 `json:"unacclimatised"` // low, best and high
	Acclimatised   [3]float64 `json:"acclimatised"`
}

// heatCheck is how often people in sealed suits were looked at.
type heatCheck struct {
	Adjusted float64 `json:"adjusted"` // °F
	Every    float64 `json:"every"`    // min
}

// reckon reads the flags and works the answer out.
func (f *heatFlags) reckon() (*heated, error) {
	r := &heated{Taken: []string{}, Note: heatCaution}
	var t typed
	var wet, globe, air quantity.Fahrenheit
	minutes, sun := quantity.Minutes(60), quantity.Percent(0)
	certain(&t, "wet", f.wet, &wet)
	certain(&t, "globe", f.globe, &globe)
	certain(&t, "air", f.air, &air)
	certain(&t, "minutes", f.minutes, &minutes)
	certain(&t, "sun", f.sun, &sun)
	switch {
	case t.err != nil:
		return nil, t.err
	case (f.wet == "") != (f.globe == ""):
		return nil, fmt.Errorf("--wet and --globe go together: the one says nothing of heat without the other")
	case f.wet == "" && f.air == "":
		return nil, fmt.Errorf("say how hot it is: --wet and --globe, or --air for how often to look at people")
	}
	if f.wet != "" {
		wbgt := heat.Indoors(heat.FromFahrenheit(wet), heat.FromFahrenheit(globe))
		if f.air != "" {
			wbgt = heat.Outdoors(heat.FromFahrenheit(wet), heat.FromFahrenheit(globe), heat.FromFahrenheit(air))
		} else {
			r.Taken = append(r.Taken, "no sun: no --air")
		}
		if err := r.limits(f, wbgt, minutes); err != nil {
			return nil, err
		}
	}
	if f.air != "" {
		adjusted, err := heat.Adjusted(air, float64(sun))
		if err != nil {
			return nil, err
		}
		if f.sun == "" {
			r.Taken = append(r.Taken, "no sunshine on the suit: no --sun")
		}
		r.Check = &heatCheck{float64(adjusted), float64(heat.CheckEvery(adjusted))}
	}
	return r, nil
}

// limits sets the temperature in the suit beside the limits of the work.
func (r *heated) limits(f *heatFlags, wbgt heat.Celsius, minutes quantity.Minutes) error {
	l := &heatLimits{WBGT: float64(wbgt)}
	for _, c := range heat.Clothes {
		if f.suit != "" && strings.Contains(c.Name, strings.ToLower(f.suit)) {
			l.Suit, l.Adds = c.Name, float64(c.Adds)
		}
	}
	if f.suit == "" {
		l.Suit = heat.Clothes[0].Name
		r.Taken = append(r.Taken, l.Suit+": no --suit")
	}
	if l.Suit == "" {
		return fmt.Errorf("--suit: %q is not known; take one of: %s", f.suit, strings.Join(clothes(), "; "))
	}
	l.Effective = l.WBGT + l.Adds
	rate := moderate
	if f.watts != "" {
		v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(f.watts, "W")), 64)
		if err != nil || !(v >= 50 && v <= 2000) {
			return fmt.Errorf("--watts: %q is no rate of work; give 50 to 2000 W, such as 415 for heavy work", f.watts)
		}
		rate = heat.Watts(v)
	} else {
		r.Taken = append(r.Taken, fmt.Sprintf("moderate work, %g W: no --watts", moderate))
	}
	if !(minutes > 0 && minutes <= 60) {
		return fmt.Errorf("--minutes: %g of an hour; give above 0 and up to 60 min", minutes)
	}
	mean, err := heat.Average([]heat.Stretch{{Minutes: minutes, Rate: rate}, {Minutes: 60 - minutes, Rate: sitting}})
	if err != nil {
		return err
	}
	l.Watts = float64(mean)
	if l.Unacclimatised, err = band(heat.Unacclimatised, mean); err != nil {
		return err
	}
	l.Acclimatised, err = band(heat.Acclimatised, mean)
	r.WBGT = l
	return err
}

// band is a limit with its bounds for a rate of work judged by eye.
func band(limit func(heat.Watts) (heat.Celsius, error), m heat.Watts) (out [3]float64, err error) {
	best, err := limit(m)
	if err != nil {
		return out, err
	}
	low, high, err := heat.Band(limit, m)
	return [3]float64{float64(low), float64(best), float64(high)}, err
}

// print writes the answer for reading.
func (r *heated) print(w io.Writer) error {
	if l := r.WBGT; l != nil {
		fmt.Fprintf(w, "WBGT   %s, in %s %s\n", degrees(l.WBGT), l.Suit, degrees(l.Effective))
		fmt.Fprintf(w, "WORK   %s W over the hour\n", rounded(l.Watts, 0))
		for _, of := range []struct {
			name string
			at   [3]float64
		}{{"used to heat", l.Acclimatised}, {"not used to it", l.Unacclimatised}} {
			fmt.Fprintf(w, "LIMIT  %s for those %s (%s to %s): %s\n", degrees(of.at[1]), of.name, rounded(of.at[0], 1), rounded(of.at[2], 1), beside(l.Effective, of.at))
		}
	}
	if c := r.Check; c != nil {
		fmt.Fprintf(w, "LOOK   at people in sealed suits every %s min, at %s F adjusted for sun,\n       by a waste site's plan of the 1990s\n", rounded(c.Every, 0), rounded(c.Adjusted, 1))
	}
	return cautioned(w, r.Taken, heatCaution)
}

// beside says how a temperature stands to a limit with bounds.
func beside(t float64, limit [3]float64) string {
	switch {
	case t > limit[2]:
		return "over"
	case t > limit[0]:
		return "possibly over"
	}
	return "not over"
}

// degrees writes a temperature in both scales.
func degrees(c float64) string {
	return fmt.Sprintf("%s C (%s F)", rounded(c, 1), rounded(float64(heat.Celsius(c).Fahrenheit()), 1))
}
