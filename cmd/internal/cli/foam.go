package cli

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"tankside/events/quantity"
	"tankside/projections/calc/foam"
)

// foamFlags are the flags of foam as they were typed.
type foamFlags struct {
	area, foam, fuel, rate, minutes, mix, flow, concentrate, water, deep, expansion string
}

// foamCaution is what everything the command foam says is worth.
const foamCaution = "worked out from what was typed, for a spill that burns and is not held in; no rate is published for keeping the vapour of an unlit one down, where the same is advised. " +
	"The listing of the concentrate and the officer at the nozzle go before it; it informs and authorises nothing"

// usualExpansion is taken where nobody said it: what a hand line makes of a
// film-forming foam, 7 to 20 being printed. Common practice, no source.
const usualExpansion quantity.Ratio = 8

// foamCommand says what an area takes and how long what there is lasts.
func (a *App) foamCommand(*settings) *cobra.Command {
	f := &foamFlags{}
	cmd := &cobra.Command{
		Use:   "foam",
		Short: "What foam an area takes, and how long what is on hand lasts",
		Long: `What foam a spill takes: solution, concentrate and water for its area by the kind of
foam and the fuel, how long concentrate and water on hand last, and what a blanket of
a depth is made of. A fuel with more than 10 % alcohol needs a foam that resists it.

Without --foam it reckons with a film-forming foam, on alcohol with an AR one; without
--mix with 3 %, of a 3x6 foam on alcohol with 6 %; without --rate and --minutes with what NFPA 11 has for a spill, as
training texts give it. What was taken is said in the answer.

It needs no incident, and stores nothing.`,
		Example: `  tankside foam --area 3000 --foam AR-AFFF --fuel E85
  tankside foam --area "60 ft2" --concentrate "10 gal" --flow "95 gpm"
  tankside foam --area 2000 --deep "4 in" --mix "3 %"`,
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
		{&f.area, "area", "`area` of the spill"},
		{&f.foam, "foam", "`kind` of foam: " + strings.Join(foam.Names(), ", ")},
		{&f.fuel, "fuel", "`fuel` under it: gasoline, diesel, E10, E85, a UN number"},
		{&f.mix, "mix", "`share` of concentrate in the solution (without it 3 %, of a 3x6 foam on alcohol 6 %)"},
		{&f.rate, "rate", "`rate` of solution in gpm for each ft2 (without it by foam and fuel)"},
		{&f.minutes, "minutes", "`time` to apply it (without it 15 min)"},
		{&f.flow, "flow", "`flow` of the nozzle or eductor (without it what the area takes)"},
		{&f.concentrate, "concentrate", "`volume` of concentrate on hand"},
		{&f.water, "water", "`volume` of water on hand"},
		{&f.deep, "deep", "`depth` of a blanket on the area"},
		{&f.expansion, "expansion", "`times` the foam is larger than its solution (without it 8)"},
	} {
		flags.StringVar(d.at, d.name, "", d.help)
	}
	return cmd
}

// foamed is the answer of foam; what was not asked for is null.
type foamed struct {
	Foam    string       `json:"foam"`
	Fuel    string       `json:"fuel"`
	Rate    float64      `json:"rate"` // gpm for each ft²
	Minutes float64      `json:"minutes"`
	Mix     float64      `json:"mix"` // %
	Source  string       `json:"source"`
	Status  string       `json:"status"`
	Need    *foamNeeded  `json:"need"`
	OnHand  *foamLasts   `json:"on_hand"`
	Blanket *foamBlanket `json:"blanket"`
	Taken   []string     `json:"taken"`
	Note    string       `json:"note"`
}

// foamNeeded is what an area takes, in gal and gpm.
type foamNeeded struct {
	Area            float64 `json:"area"` // ft²
	Flow            float64 `json:"flow"`
	ConcentrateFlow float64 `json:"concentrate_flow"`
	Solution        float64 `json:"solution"`
	Concentrate     float64 `json:"concentrate"`
	Water           float64 `json:"water"`
}

// foamLasts is how long what is on hand lasts, in min; null where nobody said how much.
type foamLasts struct {
	Flow        float64  `json:"flow"`   // gpm
	Covers      float64  `json:"covers"` // ft²
	Concentrate *float64 `json:"concentrate_minutes"`
	Water       *float64 `json:"water_minutes"`
}

// foamBlanket is what a blanket is made of, in gal.
type foamBlanket struct {
	Deep        float64 `json:"deep"` // in
	Expansion   float64 `json:"expansion"`
	Class       string  `json:"class"`
	Foam        float64 `json:"foam"`
	Solution    float64 `json:"solution"`
	Concentrate float64 `json:"concentrate"`
}

// foamAsked is what the flags say, in the units of the calculation.
type foamAsked struct {
	typed
	area               quantity.SquareFeet
	rate, expansion    quantity.Ratio
	minutes            quantity.Minutes
	mix                quantity.Percent
	flow               quantity.GallonsPerMinute
	concentrate, water quantity.Gallons
	deep               quantity.Inches
}

// reckon reads the flags and works the answer out.
func (f *foamFlags) reckon() (*foamed, error) {
	if f.area == "" && f.concentrate == "" && f.water == "" {
		return nil, fmt.Errorf("say how large the spill is: --area \"2000 ft2\", or what is on hand: --concentrate \"10 gal\"")
	}
	q := &foamAsked{expansion: usualExpansion}
	certain(&q.typed, "area", f.area, &q.area)
	certain(&q.typed, "rate", f.rate, &q.rate)
	certain(&q.typed, "minutes", f.minutes, &q.minutes)
	certain(&q.typed, "mix", f.mix, &q.mix)
	certain(&q.typed, "flow", f.flow, &q.flow)
	certain(&q.typed, "concentrate", f.concentrate, &q.concentrate)
	certain(&q.typed, "water", f.water, &q.water)
	certain(&q.typed, "deep", f.deep, &q.deep)
	certain(&q.typed, "expansion", f.expansion, &q.expansion)
	if q.err != nil {
		return nil, q.err
	}
	r := &foamed{Taken: []string{}, Note: foamCaution}
	if err := r.rate(f, q); err != nil {
		return nil, err
	}
	for _, step := range []func(*foamFlags, *foamAsked) error{r.need, r.lasts, r.blanket} {
		if err := step(f, q); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// rate finds the rate of the foam on the fuel.
func (r *foamed) rate(f *foamFlags, q *foamAsked) error {
	fuel := foam.Hydrocarbon
	alcohol, ok := foam.AlcoholOf(f.fuel)
	switch {
	case ok:
		fuel = foam.OfBlend(alcohol)
	case f.fuel == "":
		r.Taken = append(r.Taken, "a fuel with no more than 10 % alcohol: no --fuel")
	default:
		r.Taken = append(r.Taken, fmt.Sprintf("no more than 10 %% alcohol in %q: its name does not say", f.fuel))
	}
	name := f.foam
	if name == "" {
		name = map[foam.Fuel]string{foam.Hydrocarbon: "AFFF", foam.Polar: "AR-AFFF"}[fuel]
		r.Taken = append(r.Taken, name+": no --foam")
	}
	kind, ok := foam.Named(name)
	if !ok {
		return fmt.Errorf("--foam: %q is not known; take %s", name, strings.Join(foam.Names(), ", "))
	}
	rate, err := kind.On(fuel)
	if err != nil {
		return err
	}
	if f.mix == "" {
		q.mix = foam.UsualMix(name, fuel)
		r.Taken = append(r.Taken, fmt.Sprintf("mixed at %g %%: no --mix, and the drum says", q.mix))
	}
	r.Mix = float64(q.mix)
	if rate.Listing {
		r.Taken = append(r.Taken, "a general rate: the listing of the concentrate has its own")
	}
	r.Foam, r.Fuel, r.Rate, r.Minutes, r.Source, r.Status = kind.Name, string(fuel), rate.Flow, float64(rate.Minutes), rate.Source, rate.Status
	if f.rate != "" {
		r.Rate, r.Source, r.Status = float64(q.rate), "as typed", "typed"
	}
	if f.minutes != "" {
		r.Minutes = float64(q.minutes)
	}
	return nil
}

// need works out what the area takes.
func (r *foamed) need(f *foamFlags, q *foamAsked) error {
	if f.area == "" {
		return nil
	}
	n, err := foam.Required(q.area, r.Rate, quantity.Minutes(r.Minutes), q.mix)
	if err != nil {
		return err
	}
	r.Need = &foamNeeded{float64(q.area), float64(n.Flow), float64(n.ConcentrateFlow), float64(n.Solution), float64(n.Concentrate), float64(n.Water)}
	return nil
}

// lasts works out how long what is on hand lasts, at the flow typed or else at that
// which the area takes.
func (r *foamed) lasts(f *foamFlags, q *foamAsked) error {
	if f.concentrate == "" && f.water == "" && f.flow == "" {
		return nil
	}
	flow := q.flow
	if f.flow == "" {
		if r.Need == nil {
			return fmt.Errorf("say how much flows: --flow \"95 gpm\", or the area it is for: --area \"2000 ft2\"")
		}
		flow = quantity.GallonsPerMinute(r.Need.Flow)
	}
	h := &foamLasts{Flow: float64(flow), Covers: float64(foam.Covers(flow, r.Rate))}
	for _, on := range []struct {
		said  string
		of    func(quantity.Gallons, quantity.GallonsPerMinute, quantity.Percent) (quantity.Minutes, error)
		gal   quantity.Gallons
		lasts **float64
	}{{f.concentrate, foam.Lasts, q.concentrate, &h.Concentrate}, {f.water, foam.LastsWater, q.water, &h.Water}} {
		if on.said == "" {
			continue
		}
		m, err := on.of(on.gal, flow, q.mix)
		if err != nil {
			return err
		}
		v := float64(m)
		*on.lasts = &v
	}
	r.OnHand = h
	return nil
}

// blanket works out what a blanket of a depth is made of.
func (r *foamed) blanket(f *foamFlags, q *foamAsked) error {
	if f.deep == "" {
		return nil
	}
	if f.area == "" {
		return fmt.Errorf("--deep goes with --area: a blanket lies on something")
	}
	made, solution, err := foam.Blanket(q.area, q.deep, float64(q.expansion))
	if err != nil {
		return err
	}
	if f.expansion == "" {
		r.Taken = append(r.Taken, fmt.Sprintf("an expansion of %g: no --expansion", usualExpansion))
	}
	r.Blanket = &foamBlanket{float64(q.deep), float64(q.expansion), foam.Expansion(q.expansion).Class(), float64(made), float64(solution), float64(solution) * r.Mix / 100}
	return nil
}

// print writes the answer for reading.
func (r *foamed) print(w io.Writer) error {
	fmt.Fprintf(w, "RATE   %s gpm/ft2 for %s min: %s on a %s fuel\n       %s (%s)\n", digits(r.Rate), digits(r.Minutes), r.Foam, r.Fuel, r.Source, r.Status)
	if n := r.Need; n != nil {
		fmt.Fprintf(w, "NEED   %s gpm on %s ft2, %s gpm of it concentrate\n", digits(n.Flow), rounded(n.Area, 0), digits(n.ConcentrateFlow))
		fmt.Fprintf(w, "       %s gal of solution: %s gal concentrate, %s gal water\n", rounded(n.Solution, 0), rounded(n.Concentrate, 1), rounded(n.Water, 0))
	}
	if h := r.OnHand; h != nil {
		fmt.Fprintf(w, "FLOW   %s gpm covers %s ft2 at that rate\n", digits(h.Flow), rounded(h.Covers, 0))
		lasting(w, "concentrate", h.Concentrate)
		lasting(w, "water", h.Water)
	}
	if b := r.Blanket; b != nil {
		fmt.Fprintf(w, "COVER  %s in deep: %s gal of foam from %s gal of solution, %s gal of it\n       concentrate, at an expansion of %s (%s)\n",
			digits(b.Deep), rounded(b.Foam, 0), rounded(b.Solution, 0), rounded(b.Concentrate, 1), digits(b.Expansion), b.Class)
	}
	return cautioned(w, r.Taken, foamCaution)
}

func lasting(w io.Writer, what string, minutes *float64) {
	if minutes != nil {
		fmt.Fprintf(w, "       the %s on hand lasts %s min\n", what, digits(*minutes))
	}
}
