package cli

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tankside/events/quantity"
	"tankside/projections/calc/loss"
	"tankside/projections/calc/petroleum"
)

// leakFlags are the flags of leak as they were typed.
type leakFlags struct {
	hole, head, edge, above, minutes, area, on, deep, gallons, product, wind, temp string
	burning                                                                        bool
}

// leakCaution is what everything the command leak says is worth.
const leakCaution = "worked out by rules from what was typed, not measured; a balance of what was measured is nearly always better. It informs and authorises nothing"

// edges and grounds are the words for those of loss, in its order.
var (
	edges   = []string{"thin", "thick", "jagged"}
	grounds = []string{"concrete", "asphalt", "grass", "planning"}
)

// leakCommand says what leaks, lies, evaporates and burns.
func (a *App) leakCommand(s *settings) *cobra.Command {
	f := &leakFlags{}
	cmd := &cobra.Command{
		Use:   "leak",
		Short: "What a hole lets out, what a pool holds, what goes into the air or burns",
		Long: `What nobody can measure, worked out by a rule, each as the likeliest with what it lies
between.

Out of a hole: --hole, its width, and --head, the liquid above it. With --minutes what
runs out in that time; with --above, the gallons that stand over the hole, as the head
falls, else as if it stayed. Where the space above draws a vacuum less runs out.

In a pool: --area, and --on or --deep for how deep it stands. Without --area, and with
--gallons, how far that much spreads. Into the air: with --product, --wind, --temp and
--minutes, by two models that differ by a factor of about 2. Burned: with --burning,
--product and --minutes.

Each amount takes its unit and its doubt or its range: --hole "1 to 1 1/2 in". What
was logged of a leak, a pool or a fire is worked out the same way in tankside balance.

It needs no incident, and stores nothing.`,
		Example: `  tankside leak --hole "1 in" --head "39 in" --minutes 60 --above "2000 gal"
  tankside leak --area "1000 ft2" --on grass --product gasoline --wind "6 mph" --temp "68 F" --minutes 30
  tankside leak --gallons 100 --on asphalt`,
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
		{&f.hole, "hole", "`width` of the hole; of one that is not round that of a round one as large"},
		{&f.head, "head", "`height` of the liquid above the hole"},
		{&f.edge, "edge", "`edge` of the hole: " + strings.Join(edges, ", ") + " (without it any)"},
		{&f.above, "above", "`volume` that stands above the hole (without it the head stays as it is)"},
		{&f.minutes, "minutes", "`time` that it runs, lies in the open or burns"},
		{&f.area, "area", "`area` of the pool"},
		{&f.on, "on", "`ground` under it: " + strings.Join(grounds, ", ") + " (without it planning, 10 mm)"},
		{&f.deep, "deep", "`depth` of the pool, taken within a factor of 2"},
		{&f.gallons, "gallons", "`volume` of the pool, if it is known better than by its area"},
		{&f.product, "product", "`product`, as tankside products names them"},
		{&f.wind, "wind", "`speed` of the wind (2 mph at the least)"},
		{&f.temp, "temp", "`temperature` of the liquid"},
	} {
		flags.StringVar(d.at, d.name, "", d.help)
	}
	flags.BoolVar(&f.burning, "burning", false, "the pool burns")
	return cmd
}

// reckoned is an estimate as it is printed as data.
type reckoned struct {
	Low    float64 `json:"low"`
	Best   float64 `json:"best"`
	High   float64 `json:"high"`
	Unit   string  `json:"unit"`
	Source string  `json:"source"`
}

func reckonedOf[Q quantity.Quantity](b loss.Band[Q]) *reckoned {
	return &reckoned{float64(b.Low), float64(b.Best), float64(b.High), quantity.ScaleOf[Q]().Canonical(), b.Source}
}

func (b *reckoned) String() string {
	if b.Low == b.High {
		return threeDigits(b.Best) + " " + b.Unit
	}
	return fmt.Sprintf("%s %s (%s to %s)", threeDigits(b.Best), b.Unit, threeDigits(b.Low), threeDigits(b.High))
}

// threeDigits writes no more of an estimate than its first three digits: the rest is
// far inside its doubt.
func threeDigits(v float64) string {
	if v == 0 {
		return "0"
	}
	scale := math.Pow(10, math.Floor(math.Log10(math.Abs(v)))-2)
	return rounded(math.Round(v/scale)*scale, 3)
}

// leaked is the answer of leak; what was not asked for is null.
type leaked struct {
	Rate       *reckoned `json:"rate"`
	Lost       *reckoned `json:"lost"`
	Pool       *reckoned `json:"pool"`
	Spreads    *reckoned `json:"spreads"`
	Evaporates *reckoned `json:"evaporates"` // at first
	Evaporated *reckoned `json:"evaporated"`
	Burned     *reckoned `json:"burned"`
	Taken      []string  `json:"taken"`
	Note       string    `json:"note"`
}

// given are the amounts of leak.
type given struct {
	hole, head, deep loss.Within[quantity.Inches]
	above, gallons   loss.Within[quantity.Gallons]
	minutes          loss.Within[quantity.Minutes]
	area             loss.Within[quantity.SquareFeet]
	wind             loss.Within[quantity.MPH]
	temp             loss.Within[quantity.Fahrenheit]
}

// read reads the amounts, none of which but the temperature may be below 0.
func (f *leakFlags) read() (g given, err error) {
	return g, cmp.Or(
		ranged("hole", f.hole, &g.hole), ranged("head", f.head, &g.head), ranged("above", f.above, &g.above), ranged("minutes", f.minutes, &g.minutes),
		ranged("area", f.area, &g.area), ranged("deep", f.deep, &g.deep), ranged("gallons", f.gallons, &g.gallons), ranged("wind", f.wind, &g.wind),
		ranged("temp", f.temp, &g.temp))
}

// ranged reads an amount with its bounds: those of a range, or twice the doubt.
func ranged[Q quantity.Quantity](name, text string, to *loss.Within[Q]) error {
	if text == "" {
		return nil
	}
	a, err := quantity.Parse[Q](text)
	unit := quantity.ScaleOf[Q]().Canonical()
	low, high := a.Interval()
	switch {
	case err != nil:
	case a.Words != "":
		err = fmt.Errorf("%q: what does %q mean? give a number, its unit and its doubt, such as \"10 ± 2 %s\"", text, a.Words, unit)
	case a.Qual == quantity.Over || a.Qual == quantity.Under || a.Qual == quantity.UpTo:
		err = fmt.Errorf("%q is a bound; give a number or a range such as \"10 to 12 %s\"", text, unit)
	case unit != "F" && low < 0:
		err = fmt.Errorf("%q is below 0", text)
	}
	if err != nil {
		return fmt.Errorf("--%s: %w", name, err)
	}
	best, u := a.Value(), coverage*a.StdErr()
	*to = loss.Within[Q]{Low: min(low, best-u), Best: best, High: max(high, best+u)}
	if unit != "F" {
		to.Low = max(0, to.Low)
	}
	return nil
}

// reckon works out all that the flags give enough for.
func (f *leakFlags) reckon(t petroleum.Table) (*leaked, error) {
	g, err := f.read()
	if err != nil {
		return nil, err
	}
	r := &leaked{Taken: []string{}, Note: leakCaution}
	switch {
	case f.hole == "" && f.area == "" && f.gallons == "":
		return nil, fmt.Errorf("say what leaked: --hole and --head, or the --area of a pool, or its --gallons")
	case (f.hole == "") != (f.head == ""):
		return nil, fmt.Errorf("a hole lets out what stands above it: give both --hole and --head")
	case f.above != "" && f.hole == "":
		return nil, fmt.Errorf("--above is what stands above a hole: give --hole and --head")
	}
	if f.hole != "" {
		err = r.hole(f, g)
	}
	if err == nil && (f.area != "" || f.gallons != "") {
		err = r.pool(f, g, t)
	}
	return r, err
}

// hole is what runs out of a hole.
func (r *leaked) hole(f *leakFlags, g given) error {
	o := loss.Opening{Across: g.hole, Head: g.head}
	if f.edge == "" {
		r.Taken = append(r.Taken, "an edge like any: no --edge")
	} else {
		i, err := choose("edge", f.edge, edges)
		if err != nil {
			return err
		}
		o.Edge = loss.Edges[i]
	}
	if g.hole.Best <= 0 || g.head.Best <= 0 {
		return fmt.Errorf("--hole %s, --head %s: nothing runs out of no hole, or with nothing above it", f.hole, f.head)
	}
	r.Rate = reckonedOf(o.Rate())
	if f.minutes == "" {
		return nil
	}
	if f.above == "" {
		r.Taken = append(r.Taken, "the head as it is all the time, the most that can run out: no --above")
	} else {
		o.Walls = loss.Upright(g.above.Best, g.head.Best)
		r.Taken = append(r.Taken, "walls that stand upright")
	}
	lost, err := o.Lost(g.minutes, loss.Exactly(quantity.Minutes(0)))
	r.Lost = reckonedOf(lost)
	return err
}

// choose finds a word in a list.
func choose(name, said string, list []string) (int, error) {
	for i, w := range list {
		if w == said {
			return i, nil
		}
	}
	return 0, fmt.Errorf("--%s: %q is not known; take %s", name, said, strings.Join(list, ", "))
}

// ground is how deep a pool stands.
func (r *leaked) ground(f *leakFlags, g given) (loss.Ground, error) {
	switch {
	case f.deep != "" && f.on != "":
		return loss.Ground{}, fmt.Errorf("--deep and --on: both say how deep the pool stands; leave one out")
	case f.deep != "":
		return loss.Ground{Name: "as said", Low: g.deep.Low / 2, Best: g.deep.Best, High: 2 * g.deep.High}, nil
	case f.on == "":
		r.Taken = append(r.Taken, "a pool 10 mm deep, as EPA plans with: no --on, no --deep")
	}
	i, err := choose("on", cmp.Or(f.on, grounds[len(grounds)-1]), grounds)
	return loss.Grounds[i], err
}

// pool is what lies in a pool and what leaves it.
func (r *leaked) pool(f *leakFlags, g given, t petroleum.Table) error {
	ground, err := r.ground(f, g)
	if err != nil {
		return err
	}
	if f.area == "" {
		b, err := loss.PoolArea(g.gallons.Best, ground)
		r.Spreads = reckonedOf(b)
		return err
	}
	holds, err := loss.PoolHolds(g.area, ground)
	if err != nil {
		return err
	}
	if r.Pool = reckonedOf(holds); f.gallons == "" {
		g.gallons = loss.Within[quantity.Gallons]{Low: holds.Low, Best: holds.Best, High: holds.High}
	}
	if f.product == "" && !f.burning {
		return nil
	}
	p, ok := t.Find(f.product)
	switch {
	case !ok:
		return fmt.Errorf("--product: %q names none; tankside products has the list", f.product)
	case f.burning && f.minutes == "":
		return fmt.Errorf("say how long it burns: --minutes")
	case f.burning:
		b, err := loss.FuelOf(p.API, p.Blend).Burns(g.area, g.minutes)
		if r.Burned = reckonedOf(b); b.Best > holds.Best {
			r.Taken = append(r.Taken, "a pool that the leak feeds: it burns more than it holds")
		}
		return err
	}
	return r.air(f, g, p)
}

// air is what a pool loses to the wind.
func (r *leaked) air(f *leakFlags, g given, p petroleum.Product) error {
	if f.wind == "" || f.temp == "" {
		return fmt.Errorf("what evaporates hangs on the wind and the warmth: give --wind and --temp, or leave --product out")
	}
	if _, high := p.Vapour(60); high == 0 {
		return fmt.Errorf("--product: no vapour pressure of %s is known; a department's products.yaml may give one", p.Name)
	}
	o := loss.Open{Area: g.area, Wind: g.wind, Liquid: g.temp, Vapour: p.Vapour, Weight: p.VapourWeight, PerGallon: p.PerGallon}
	rate, err := o.Rate()
	if err != nil {
		return err
	}
	if r.Evaporates = reckonedOf(rate); f.minutes == "" {
		return nil
	}
	lost, err := o.Evaporated(g.gallons, g.minutes)
	r.Evaporated = reckonedOf(lost)
	return err
}

// print writes the answer for reading.
func (r *leaked) print(w io.Writer) error {
	g := grid{heads: []string{"", "likeliest, and between"}}
	var by []string
	for _, l := range []struct {
		name string
		b    *reckoned
	}{
		{"runs out", r.Rate}, {"has run out", r.Lost}, {"in the pool", r.Pool}, {"spreads over", r.Spreads},
		{"evaporates at first", r.Evaporates}, {"has evaporated", r.Evaporated}, {"has burned", r.Burned},
	} {
		if l.b != nil {
			g.add(l.name, l.b.String())
			if !slices.Contains(by, l.b.Source) {
				by = append(by, l.b.Source)
			}
		}
	}
	if err := g.print(w); err != nil {
		return err
	}
	if _, err := fmt.Fprintf(w, "\n%s\n", strings.Join(lines("By "+strings.Join(by, "; ")+".", wide-1), "\n")); err != nil {
		return err
	}
	return cautioned(w, r.Taken, r.Note)
}
