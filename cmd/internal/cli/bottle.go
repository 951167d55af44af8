package cli

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"tankside/events/quantity"
	"tankside/projections/calc/cylinder"
)

// bottleFlags are the flags of bottle as they were typed.
type bottleFlags struct {
	bottle, rate, falls, alarm string
	in, out, decon             string
	psi                        []string
}

// bottleCaution is what everything the command bottle says is worth.
const bottleCaution = "worked out from what was typed, at one steady breathing. The gauge, the alarm and the department's procedure go before it; it informs and authorises nothing"

// usualBreath is taken where nobody said how fast air is used: work in a suit at a
// slow pace, by trade articles 40 to 60 L/min.
const usualBreath = 60

// bottleCommand says how long the air of those who go in lasts.
func (a *App) bottleCommand(*settings) *cobra.Command {
	f := &bottleFlags{}
	cmd := &cobra.Command{
		Use:   "bottle",
		Short: "How long the air on a back lasts, and when to turn round",
		Long: `How long the air of each who goes in lasts: to the low-air alarm, to empty and at the
work, and the pressure at which to turn round so as to be through decontamination when
the alarm sounds. The team turns round with the first of it.

Use is said in litres a minute or, better, as the psi a minute that the wearer used on
the last trip: tankside people has it. Without either it reckons with 60 L/min. What
was taken is said in the answer.

It needs no incident, and stores nothing.`,
		Example: `  tankside bottle --bottle "45 min" --psi 4200 --rate 60 --in 4 --out 4 --decon 6
  tankside bottle --bottle "30 min" --psi 2980 --psi 3010 --falls 75`,
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
		{&f.bottle, "bottle", "`kind` of bottle: " + strings.Join(bottleNames(), ", ") + ", or such as \"6.8 L 300 bar\""},
		{&f.rate, "rate", "`litres` of air a minute (without it 60)"},
		{&f.falls, "falls", "`psi` a minute instead of litres"},
		{&f.alarm, "alarm", "`share` of full at which the alarm sounds (without it 33 %)"},
		{&f.in, "in", "`time` from the line to the work"},
		{&f.out, "out", "`time` back to the line"},
		{&f.decon, "decon", "`time` through decontamination on air"},
	} {
		flags.StringVar(d.at, d.name, "", d.help)
	}
	flags.StringArrayVar(&f.psi, "psi", nil, "`pressure` on the gauge; once for each of the team (without it full)")
	return cmd
}

func bottleNames() (out []string) {
	for _, t := range cylinder.Types {
		out = append(out, t.Name)
	}
	return out
}

// bottled is the answer of bottle.
type bottled struct {
	Bottle  string     `json:"bottle"`
	Full    float64    `json:"full"`   // psi
	Litres  float64    `json:"litres"` // of free air at full
	Source  string     `json:"source"`
	Rate    float64    `json:"rate"`  // L/min
	Falls   float64    `json:"falls"` // psi/min
	AlarmAt float64    `json:"alarm_at"`
	Members []airFor   `json:"members"`
	Team    airMinutes `json:"team"` // the least of the members'
	Taken   []string   `json:"taken"`
	Note    string     `json:"note"`

	allowed bool // for a way or for decontamination
}

// airFor is the air of one who goes in.
type airFor struct {
	PSI      float64 `json:"psi"`
	Litres   float64 `json:"litres"`
	TurnBack float64 `json:"turn_back"` // psi
	airMinutes
}

// airMinutes are times, below 0 where they are past.
type airMinutes struct {
	ToAlarm  float64 `json:"to_alarm"`
	Cautious float64 `json:"to_alarm_cautious"`
	Work     float64 `json:"work"`
	ToEmpty  float64 `json:"to_empty"`
}

// reckon reads the flags and works the answer out.
func (f *bottleFlags) reckon() (*bottled, error) {
	r := &bottled{Taken: []string{}, Note: bottleCaution}
	var t typed
	gauges := make([]quantity.PSI, len(f.psi))
	var read quantity.PSI
	for i, text := range f.psi {
		certain(&t, "psi", text, &gauges[i])
		read = max(read, gauges[i])
	}
	plan := cylinder.Plan{}
	certain(&t, "in", f.in, &plan.In)
	certain(&t, "out", f.out, &plan.Out)
	certain(&t, "decon", f.decon, &plan.Decon)
	share := quantity.Percent(100 * cylinder.Alarm)
	certain(&t, "alarm", f.alarm, &share)
	if t.err != nil {
		return nil, t.err
	}
	bottle, ok := cylinder.Find(f.bottle, read)
	if !ok {
		return nil, fmt.Errorf("--bottle: %q is not known; take %s, or such as \"6.8 L 300 bar\"", f.bottle, strings.Join(bottleNames(), ", "))
	}
	if err := r.use(f, bottle); err != nil {
		return nil, err
	}
	plan.Full, plan.Falls, plan.Alarm = bottle.Full, r.Falls, float64(share)/100
	r.Bottle, r.Full, r.Litres, r.Source, r.AlarmAt = bottle.Name, float64(bottle.Full), float64(bottle.Litres), bottle.Source, float64(plan.AlarmAt())
	if r.allowed = plan.In+plan.Out+plan.Decon > 0; !r.allowed {
		r.Taken = append(r.Taken, "no way and no decontamination: no --in, --out, --decon")
	}
	if len(gauges) == 0 {
		gauges = []quantity.PSI{bottle.Full}
		r.Taken = append(r.Taken, "a full bottle: no --psi")
	}
	return r, r.team(plan, bottle, gauges)
}

// use reads how fast air is used.
func (r *bottled) use(f *bottleFlags, b cylinder.Type) error {
	number := func(name, text string, units ...string) (float64, error) {
		for _, u := range units {
			text = strings.TrimSuffix(strings.TrimSpace(text), u)
		}
		v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
		if err != nil || !(v > 0 && v < 1e5) {
			return 0, fmt.Errorf("--%s: %q is no rate; give a number above 0, such as 60", name, text)
		}
		return v, nil
	}
	var err error
	switch {
	case f.rate != "" && f.falls != "":
		return fmt.Errorf("--rate and --falls say the same; leave one out")
	case f.falls != "":
		r.Falls, err = number("falls", f.falls, "psi/min", "psi a minute", "psi")
		r.Rate = float64(b.Breath(r.Falls))
		return err
	case f.rate != "":
		r.Rate, err = number("rate", f.rate, "L/min", "l/min", "L")
	default:
		r.Rate = usualBreath
		r.Taken = append(r.Taken, fmt.Sprintf("%d L/min, work in a suit at a slow pace: no --rate and no --falls; hard work takes 75 to 115", usualBreath))
	}
	r.Falls = b.Takes(cylinder.LitresPerMinute(r.Rate))
	return err
}

// team works out the times of each and the least of them.
func (r *bottled) team(plan cylinder.Plan, b cylinder.Type, gauges []quantity.PSI) error {
	for _, psi := range gauges {
		if plan.Start = psi; float64(psi) > 1.05*float64(b.Full) {
			return fmt.Errorf("--psi: %g psi is more than a bottle of %g psi holds; is it another bottle?", psi, b.Full)
		}
		if err := plan.Check(); err != nil {
			return err
		}
		careful := plan
		careful.Alarm = max(plan.Alarm, cylinder.CautiousAlarm)
		r.Members = append(r.Members, airFor{float64(psi), float64(b.Holds(psi)), float64(plan.TurnBack()), airMinutes{
			float64(plan.ToAlarm()), float64(careful.ToAlarm()), float64(plan.Work()), float64(plan.ToEmpty()),
		}})
	}
	for _, f := range []struct {
		least *float64
		of    func(airMinutes) float64
	}{
		{&r.Team.ToAlarm, func(m airMinutes) float64 { return m.ToAlarm }}, {&r.Team.Cautious, func(m airMinutes) float64 { return m.Cautious }},
		{&r.Team.Work, func(m airMinutes) float64 { return m.Work }}, {&r.Team.ToEmpty, func(m airMinutes) float64 { return m.ToEmpty }},
	} {
		var all []quantity.Minutes
		for _, m := range r.Members {
			all = append(all, quantity.Minutes(f.of(m.airMinutes)))
		}
		least, err := cylinder.Team(all)
		if err != nil {
			return err
		}
		*f.least = float64(least)
	}
	return nil
}

// print writes the answer for reading.
func (r *bottled) print(w io.Writer) error {
	fmt.Fprintf(w, "BOTTLE %s: %s L when full\n       %s\n", r.Bottle, rounded(r.Litres, 0), r.Source)
	fmt.Fprintf(w, "USE    %s L/min, %s psi a minute; the alarm sounds at %s psi\n", digits(r.Rate), rounded(r.Falls, 0), rounded(r.AlarmAt, 0))
	for _, m := range r.Members {
		fmt.Fprintf(w, "AIR    %s psi, %s L: %s\n", rounded(m.PSI, 0), rounded(m.Litres, 0), m.words())
		if r.allowed {
			fmt.Fprintf(w, "       %s min at the work; turn round at %s psi\n", rounded(m.Work, 1), rounded(m.TurnBack, 0))
		}
	}
	if len(r.Members) > 1 {
		fmt.Fprintf(w, "TEAM   %s\n", r.Team.words())
		if r.allowed {
			fmt.Fprintf(w, "       %s min at the work\n", rounded(r.Team.Work, 1))
		}
	}
	if r.Team.Work <= 0 {
		fmt.Fprintf(w, "       BY THESE FIGURES THERE IS NO TIME FOR ANY WORK\n")
	}
	return cautioned(w, r.Taken, bottleCaution)
}

func (m airMinutes) words() string {
	return fmt.Sprintf("%s min to the alarm (%s in the cautious case), %s to empty", rounded(m.ToAlarm, 1), rounded(m.Cautious, 1), rounded(m.ToEmpty, 1))
}
