package cli

import (
	"cmp"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"tankside/events/quantity"
	"tankside/projections/calc/hose"
	"tankside/projections/calc/loss"
	"tankside/projections/calc/petroleum"
)

// hoseFlags are the flags of hose as they were typed.
type hoseFlags struct {
	bore, rate, length, product, temp, height, need, conductivity string
	corrugated                                                    bool
}

// hoseCaution is what everything the command hose says is worth.
const hoseCaution = "worked out from what was typed, for a straight hose without couplings; the pump's own curve goes before it. It informs and authorises nothing"

// wetSuction is the NPSH taken for an air-driven diaphragm pump, ft (judgement).
const wetSuction quantity.Feet = 10

// hoseCommand says how fast a hose may run, what it takes and how high a pump lifts.
func (a *App) hoseCommand(s *settings) *cobra.Command {
	f := &hoseFlags{}
	cmd := &cobra.Command{
		Use:   "hose",
		Short: "How fast a hose may run, what pressure it takes, how high a pump lifts",
		Long: `How fast product may run through a hose before it charges itself: until the inlet of
the receiver is covered, and from then on, by NFPA 77 and by IEC 60079-32-1 for fuel of
low sulfur whose conductivity nobody knows. With --conductivity, how long its charge
takes to fade.

With --rate and --length the pressure that the hose takes. With --temp as well how high
a pump draws before the product boils in the suction hose, from the most volatile of the
year to the least: --height above the sea and --need, the pump's NPSH, go into it.

It needs no incident, and stores nothing.`,
		Example: `  tankside hose --bore "2 in" --rate "100 gpm" --length "100 ft" --product gasoline
  tankside hose --bore "3 in" --rate "150 gpm" --length "40 ft" --product gasoline --temp "90 F"`,
		Args:        noArgs,
		Annotations: map[string]string{usesProducts: "yes"},
		RunE: func(cmd *cobra.Command, _ []string) error {
			p, err := s.products()
			if err != nil {
				return err
			}
			r, err := f.reckon(p.table)
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
		{&f.bore, "bore", "`width` of the hose inside, at its narrowest"},
		{&f.rate, "rate", "`flow` through it"},
		{&f.length, "length", "`length` of it"},
		{&f.product, "product", "`product`, as tankside products names them"},
		{&f.temp, "temp", "`temperature` of the product"},
		{&f.height, "height", "`height` above the sea (without it none)"},
		{&f.need, "need", "`head` that the pump needs at its inlet, its NPSH (without it 10 ft)"},
		{&f.conductivity, "conductivity", "`pS/m` that the product conducts"},
	} {
		flags.StringVar(d.at, d.name, "", d.help)
	}
	flags.BoolVar(&f.corrugated, "corrugated", false, "a corrugated composite hose, which takes twice the pressure")
	return cmd
}

// hosed is the answer of hose; what was not asked for is null.
type hosed struct {
	Start   float64  `json:"start"` // gpm, until the inlet is covered
	NFPA    float64  `json:"nfpa"`  // gpm from then on
	IEC     float64  `json:"iec"`
	TooFast string   `json:"too_fast"`
	Speed   *float64 `json:"speed"` // m/s
	Loss    *float64 `json:"loss"`  // psi
	Lift    *lift    `json:"lift"`
	Fades   *float64 `json:"fades_in"` // s, to 37 %
	Taken   []string `json:"taken"`
	Note    string   `json:"note"`
}

// lift is how high a pump draws, ft: of the most volatile product of the year and of
// the least.
type lift struct {
	Least float64 `json:"least"`
	Most  float64 `json:"most"`
}

// reckon works out all that the flags give enough for.
func (f *hoseFlags) reckon(t petroleum.Table) (*hosed, error) {
	var bore loss.Within[quantity.Inches]
	var rate loss.Within[quantity.GallonsPerMinute]
	if err := cmp.Or(ranged("bore", f.bore, &bore), ranged("rate", f.rate, &rate)); err != nil {
		return nil, err
	}
	if bore.Low <= 0 {
		return nil, fmt.Errorf("say how wide the hose is inside: --bore \"2 in\"")
	}
	r := &hosed{Taken: []string{}, Note: hoseCaution, Start: float64(hose.FlowAt(hose.Slow, bore.Low))}
	_, nfpa := hose.Fastest(bore.Low, hose.AnyNFPA)
	_, iec := hose.Fastest(bore.Low, hose.Least)
	if r.NFPA, r.IEC = float64(nfpa), float64(iec); f.rate != "" {
		speed := hose.Velocity(rate.Best, bore.Best)
		r.Speed, r.TooFast = &speed, tooFast(rate.High, quantity.GallonsPerMinute(r.Start), nfpa, iec)
	}
	if err := r.fades(f.conductivity); err != nil {
		return nil, err
	}
	if f.length == "" && f.temp == "" {
		return r, nil
	}
	if f.rate == "" || f.length == "" {
		return nil, fmt.Errorf("what a hose takes hangs on how fast and how far: give both --rate and --length")
	}
	return r, r.flows(f, t, bore.Best, rate.Best)
}

// tooFast holds a rate against the limits, "" where it keeps all of them.
func tooFast(rate, start, nfpa, iec quantity.GallonsPerMinute) string {
	switch {
	case rate > nfpa:
		return "faster than NFPA 77 has it at any time"
	case rate > iec:
		return "faster than IEC 60079-32-1 has it for fuel of low sulfur and unknown conductivity; within NFPA 77 once the inlet is covered"
	case rate > start:
		return "too fast to begin with; within both once the inlet is covered"
	}
	return ""
}

// fades is how long a charge takes to fade.
func (r *hosed) fades(text string) error {
	if text == "" {
		return nil
	}
	var c loss.Within[quantity.Ratio]
	if err := ranged("conductivity", strings.TrimSuffix(text, "pS/m"), &c); err != nil || c.Best <= 0 {
		return cmp.Or(err, fmt.Errorf("--conductivity: %q; want a number above 0, in pS/m", text))
	}
	s := float64(hose.Relaxation(fuelPermittivity, float64(c.Best)))
	r.Fades = &s
	return nil
}

// fuelPermittivity is that of fuels, relative to vacuum (NFPA 77: about 2).
const fuelPermittivity = 2

// flows is what pressure the hose takes and how high a pump draws through it.
func (r *hosed) flows(f *hoseFlags, t petroleum.Table, bore quantity.Inches, rate quantity.GallonsPerMinute) error {
	var length, height, need loss.Within[quantity.Feet]
	var temp loss.Within[quantity.Fahrenheit]
	need = loss.Exactly(wetSuction)
	if err := cmp.Or(ranged("length", f.length, &length), ranged("height", f.height, &height), ranged("need", f.need, &need), ranged("temp", f.temp, &temp)); err != nil {
		return err
	}
	p, ok := t.Find(f.product)
	if !ok {
		return fmt.Errorf("--product: %q names none; tankside products has the list", f.product)
	}
	l, as := liquidOf(p)
	r.Taken = append(r.Taken, as)
	lost, err := hose.Loss(rate, bore, length.Best, l, hose.Smooth)
	if err != nil {
		return err
	}
	if f.corrugated {
		lost *= 2
	}
	psi := float64(lost)
	if r.Loss = &psi; f.temp == "" {
		return nil
	}
	low, high := p.Vapour(temp.Best)
	if high == 0 {
		return fmt.Errorf("--product: no vapour pressure of %s is known; leave --temp out", p.Name)
	}
	if f.need == "" {
		r.Taken = append(r.Taken, fmt.Sprintf("a pump that needs %g ft at its inlet: no --need", need.Best))
	}
	air, friction := hose.Air(height.Best), hose.Head(lost, l)
	least := float64(hose.Lift(air, quantity.PSI(high), l, friction, need.Best))
	most := float64(hose.Lift(air, quantity.PSI(low), l, friction, need.Best))
	r.Lift = &lift{least, most}
	return nil
}

// liquidOf is the liquid that a product flows as: the light ones as gasoline, the
// others as diesel (judgement).
func liquidOf(p petroleum.Product) (hose.Liquid, string) {
	l := hose.Liquids[1]
	if p.Blend || p.API >= 50 {
		l = hose.Liquids[0]
	}
	return l, fmt.Sprintf("%s to flow as %s, %.0f kg/m3 and %g Pa·s", p.Name, l.Name, l.Density, l.Viscosity)
}

// print writes the answer for reading.
func (r *hosed) print(w io.Writer) error {
	g := grid{heads: []string{"through this hose", "what holds"}}
	g.add("to begin with, inlet not covered", "up to "+rounded(r.Start, 0)+" gpm, 1 m/s (NFPA 77)")
	g.add("then", "up to "+rounded(r.NFPA, 0)+" gpm (NFPA 77)")
	g.add("", "up to "+rounded(r.IEC, 0)+" gpm (IEC 60079-32-1, low sulfur, conductivity unknown)")
	if r.Speed != nil {
		g.add("it runs", rounded(*r.Speed, 2)+" m/s")
	}
	if r.TooFast != "" {
		g.add("", strings.ToUpper(r.TooFast[:1])+r.TooFast[1:])
	}
	if r.Loss != nil {
		g.add("the hose takes", threeDigits(*r.Loss)+" psi")
	}
	if r.Lift != nil {
		g.add("a pump draws", r.lifts())
	}
	if r.Fades != nil {
		g.add("a charge fades to 37 % in", threeDigits(*r.Fades)+" s")
	}
	if err := g.print(w); err != nil {
		return err
	}
	return cautioned(w, r.Taken, r.Note)
}

// lifts says how high a pump draws.
func (r *hosed) lifts() string {
	switch {
	case r.Lift.Most <= 0:
		return "not at all: it boils in the hose"
	case r.Lift.Least <= 0:
		return fmt.Sprintf("up to %s ft with the least volatile of the year; with the most it boils in the hose", rounded(r.Lift.Most, 1))
	case r.Lift.Least == r.Lift.Most:
		return rounded(r.Lift.Most, 1) + " ft up"
	}
	return fmt.Sprintf("%s ft up with the most volatile of the year, %s with the least", rounded(r.Lift.Least, 1), rounded(r.Lift.Most, 1))
}
