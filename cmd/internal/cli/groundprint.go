package cli

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"tankside/events/quantity"
	"tankside/projections/calc/ground"
)

// grounded is the answer of ground; what was not asked for is null.
type grounded struct {
	Read   *groundRead   `json:"reading"`
	Fall   *fallHolds    `json:"fall"`
	Probes *probesAt     `json:"probes"`
	Soil   *soilIs       `json:"soil"`
	Limit  float64       `json:"limit"`  // ohm
	Rods   []rodsWould   `json:"rods"`   // what so many would read, a rod length apart
	Needed *int          `json:"needed"` // null where Most would not do, or nothing says
	Soils  []soilPrinted `json:"soils"`
	Curves []soilCurve   `json:"curves"`
	Taken  []string      `json:"taken"`
	Note   string        `json:"note"`
}

// groundRead is a reading held against two limits, which are for two things.
type groundRead struct {
	Ohms         float64 `json:"ohms"`
	Rods         int     `json:"rods"`
	Static       bool    `json:"within_static"`
	StaticLimit  float64 `json:"static_limit"`
	StaticSource string  `json:"static_source"`
	Volts        float64 `json:"volts_while_charged"` // at 1 µA
	SparkVolts   float64 `json:"volts_of_a_spark"`    // that lights vapour off a truck
	Target       bool    `json:"within_limit"`
}

// fallHolds is a test by the fall of potential.
type fallHolds struct {
	Ohms   float64 `json:"ohms"`
	Spread float64 `json:"spread"` // % of it
	Most   float64 `json:"most"`   // % for it to hold
	Holds  bool    `json:"holds"`
}

// probesAt is where the probes belong, in ft from the rod.
type probesAt struct {
	Outer  float64 `json:"outer"`
	Inner  float64 `json:"inner"`
	Least  float64 `json:"outer_at_least"`
	Stands float64 `json:"inner_stands"`
	Off    float64 `json:"off"` // % that a reading there is off in even soil
}

// soilIs is a resistivity, and where it is from.
type soilIs struct {
	OhmMetres float64  `json:"ohm_m"`
	Low       *float64 `json:"low"`
	High      *float64 `json:"high"`
	By        string   `json:"by"`
}

// rodsWould is what so many rods would read.
type rodsWould struct {
	Rods int      `json:"rods"`
	Ohms float64  `json:"ohms"`
	Low  *float64 `json:"low"` // by the range of the soil
	High *float64 `json:"high"`
}

// soilPrinted is a kind of soil as it is printed, in ohm-m.
type soilPrinted struct {
	Soil    string   `json:"soil"`
	Low     float64  `json:"low"`
	Typical *float64 `json:"typical"`
	High    float64  `json:"high"`
	Source  string   `json:"source"`
	Status  string   `json:"status"`
}

// soilCurve is how the resistivity of a soil goes with something.
type soilCurve struct {
	Soil   string       `json:"soil"`
	By     string       `json:"by"`
	Points [][2]float64 `json:"points"` // of that and ohm-m
	Source string       `json:"source"`
	Status string       `json:"status"`
}

// reading holds what was read against the limit of static and the one of the rods.
func (r *grounded) reading(_ *groundFlags, q *groundAsked) error {
	r.Limit = float64(q.limit)
	if !q.readAlone {
		return nil
	}
	if q.ohms <= 0 {
		return fmt.Errorf("ground: a reading of %g ohm; want one above 0", q.ohms)
	}
	spark, err := ground.Spark(ground.IgnitionEnergy, ground.TankTruck)
	if err != nil {
		return err
	}
	r.Read = &groundRead{
		Ohms: float64(q.ohms), Rods: int(q.rods), Static: q.ohms <= ground.Static.Ohms, StaticLimit: float64(ground.Static.Ohms), StaticSource: ground.Static.Source,
		Volts: ground.Standing(ground.ChargingCurrent, q.ohms), SparkVolts: spark, Target: q.ohms <= q.limit,
	}
	return nil
}

// would works out what one rod reads and how many come below the limit.
func (r *grounded) would(f *groundFlags, q *groundAsked) error {
	one, low, high, err := q.one()
	if err != nil || one == 0 {
		return err
	}
	if f.limit == "" {
		r.Taken = append(r.Taken, fmt.Sprintf("a limit of %g ohm (%s, %s): no --limit", ground.Target.Ohms, ground.Target.Source, ground.Target.Status))
	}
	if f.diameter == "" && q.deep {
		r.Taken = append(r.Taken, fmt.Sprintf("rods %g in thick: no --diameter", ground.UsualDiameter))
	}
	needed, _, err := ground.Needed(one, q.limit)
	if err != nil {
		needed = ground.Most
		r.Taken = append(r.Taken, "longer rods, wet ground, a plate in water or another place where rods alone do not do")
	} else {
		r.Needed = &needed
	}
	counts := []int{1, 2, 3, 4, int(q.rods), needed}
	slices.Sort(counts)
	for _, n := range slices.Compact(counts) {
		if n > max(needed, 4) {
			continue
		}
		w := rodsWould{Rods: n}
		w.Ohms = float64(many(one, n))
		if low > 0 {
			l, h := float64(many(low, n)), float64(many(high, n))
			w.Low, w.High = &l, &h
		}
		r.Rods = append(r.Rods, w)
	}
	return nil
}

// many is the resistance of rods whose number was checked.
func many(one quantity.Ohms, n int) quantity.Ohms {
	ohms, _ := ground.Many(one, n)
	return ohms
}

// one is what one rod reads, 0 where nothing says: from the soil, or else from the
// reading of several.
func (q *groundAsked) one() (ohms, low, high quantity.Ohms, err error) {
	if q.readAlone {
		f, err := ground.FactorOf(int(q.rods))
		return q.ohms * quantity.Ohms(float64(q.rods)/f), 0, 0, err
	}
	if q.soil == 0 || !q.deep {
		return 0, 0, 0, nil
	}
	if ohms, err = q.rod.Resistance(q.soil); err != nil || q.soilLow == 0 {
		return ohms, 0, 0, err
	}
	if low, err = q.rod.Resistance(q.soilLow); err != nil {
		return 0, 0, 0, err
	}
	high, err = q.rod.Resistance(q.soilHigh)
	return ohms, low, high, err
}

// soils lists what is printed.
func (r *grounded) soils() {
	for _, s := range ground.Soils {
		p := soilPrinted{Soil: s.Name, Low: float64(s.Low), High: float64(s.High), Source: s.Source, Status: s.Status}
		if s.Typical > 0 {
			t := float64(s.Typical)
			p.Typical = &t
		}
		r.Soils = append(r.Soils, p)
	}
	for _, c := range []ground.Curve{ground.TopSoil, ground.SandyLoam, ground.Salted, ground.Frost, ground.SaltedFrost} {
		out := soilCurve{c.Of, c.By, nil, c.Source, c.Status}
		for _, p := range c.Points {
			out.Points = append(out.Points, [2]float64{p.X, float64(p.Rho)})
		}
		r.Curves = append(r.Curves, out)
	}
}

// print writes the answer for reading.
func (r *grounded) print(w io.Writer) error {
	r.printFall(w)
	if d := r.Read; d != nil {
		fmt.Fprintf(w, "READ   %s ohm of %s\n", digits(d.Ohms), plural(d.Rods, "rod", "rods"))
		fmt.Fprintf(w, "       static: %s 1 megohm (%s)\n", within(d.Static), d.StaticSource)
		fmt.Fprintf(w, "       charged by 1 uA it stands at %s V; a spark off a truck takes about %s V\n", volts(d.Volts), rounded(d.SparkVolts, 0))
		fmt.Fprintf(w, "       limit: %s %s ohm\n", within(d.Target), digits(r.Limit))
	}
	if s := r.Soil; s != nil {
		rang := ""
		if s.Low != nil {
			rang = fmt.Sprintf(", %s to %s", digits(*s.Low), digits(*s.High))
		}
		fmt.Fprintf(w, "SOIL   %s ohm-m%s\n       %s\n", digits(s.OhmMetres), rang, strings.Join(lines("by "+s.By, wide-8), "\n       "))
	}
	if err := r.printRods(w); err != nil {
		return err
	}
	if err := r.printSoils(w); err != nil {
		return err
	}
	return cautioned(w, r.Taken, groundCaution)
}

func (r *grounded) printFall(w io.Writer) {
	if f := r.Fall; f != nil {
		text := "they hold"
		if !f.Holds {
			text = "THEY DO NOT HOLD; move the outer probe\n       farther out and read again"
		}
		fmt.Fprintf(w, "FALL   %s ohm at 62 %%; the three are %s %% apart of %s %%: %s\n", digits(f.Ohms), digits(f.Spread), digits(f.Most), text)
	}
	if p := r.Probes; p != nil {
		fmt.Fprintf(w, "PROBES inner at %s ft, outer at %s ft; outer at %s ft or more\n", digits(p.Inner), digits(p.Outer), digits(p.Least))
		if p.Off != 0 {
			fmt.Fprintf(w, "       at %s ft it reads %s %% %s in even soil\n", digits(p.Stands), digits(max(p.Off, -p.Off)), map[bool]string{true: "high", false: "low"}[p.Off > 0])
		}
	}
}

func (r *grounded) printRods(w io.Writer) error {
	if len(r.Rods) == 0 {
		return nil
	}
	if r.Needed == nil {
		fmt.Fprintf(w, "RODS   %d of them would still be over %s ohm\n", ground.Most, digits(r.Limit))
	} else {
		fmt.Fprintf(w, "RODS   %s would be within %s ohm\n", plural(*r.Needed, "rod", "rods, a rod length apart,"), digits(r.Limit))
	}
	table := grid{heads: []string{"rods", "ohm", "by the range of the soil"}, right: []int{0, 1}}
	for _, o := range r.Rods {
		rang := ""
		if o.Low != nil {
			rang = digits(*o.Low) + " to " + digits(*o.High)
		}
		table.add(fmt.Sprint(o.Rods), digits(o.Ohms), rang)
	}
	if r.Rods[0].Low == nil {
		table.heads = table.heads[:2]
		for i := range table.rows {
			table.rows[i] = table.rows[i][:2]
		}
	}
	return table.print(w)
}

func (r *grounded) printSoils(w io.Writer) error {
	if len(r.Soils) == 0 {
		return nil
	}
	table := grid{title: "SOILS, ohm-m", heads: []string{"soil", "low", "usual", "high"}, right: []int{1, 2, 3}}
	var sources []string
	for _, s := range r.Soils {
		if from := "  " + s.Source + " (" + s.Status + ")\n"; !slices.Contains(sources, from) {
			sources = append(sources, from)
		}
		usual := unknown
		if s.Typical != nil {
			usual = digits(*s.Typical)
		}
		table.add(s.Soil, digits(s.Low), usual, digits(s.High))
	}
	if err := table.print(w); err != nil {
		return err
	}
	fmt.Fprint(w, strings.Join(sources, ""))
	for _, c := range r.Curves {
		table := grid{title: c.Soil + ", by " + c.By, heads: []string{"at", "ohm-m"}, right: []int{0, 1}}
		for _, p := range c.Points {
			table.add(fmt.Sprintf("%g", p[0]), digits(p[1]))
		}
		if err := table.print(w); err != nil {
			return err
		}
		fmt.Fprintf(w, "  %s (%s)\n", c.Source, c.Status)
	}
	return cautioned(w, nil, "water, salt and frost change a soil more than rods do; "+ground.SaltCaution)
}

// volts writes a voltage, those far below any spark as under a thousandth.
func volts(v float64) string {
	if v < 0.001 {
		return "under 0.001"
	}
	return rounded(v, 3)
}

func within(yes bool) string {
	if yes {
		return "within"
	}
	return "OVER"
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
