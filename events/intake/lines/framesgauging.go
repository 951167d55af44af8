package lines

import (
	"fmt"
	"strings"

	"tankside/events"
	"tankside/events/quantity"
)

// gaugingFrames are sticks, dips and scales, and what a paper says of the load.
var gaugingFrames = []frame{
	{
		kind: "stick_read", placed: true, wants: 1, fits: withNumber, fill: stick, where: gaugedPlace, checks: []func(*line){overUsable, layersApart}, board: boardStick,
		says: []phrase{{"stick", 14}, {"sticks", 14}, {"gauged", 11}, {"gauge", 8}},
	},
	{
		kind: "dip_read", wants: 1, fits: withNumber, fill: dip, where: func(*line) string { return "Tank" }, checks: []func(*line){unlikeSum}, board: boardDip,
		says: []phrase{{"dip", 13}, {"dips", 13}, {"dipped", 14}, {"left in her", 20}},
	},
	{
		kind: "scale_ticket", placed: true, wants: 1, fits: withNumber, fill: ticket, where: gaugedPlace,
		checks: []func(*line){unlikeWeight, strangeTruck, strangeBook}, says: []phrase{{"scale", 14}, {"ticket", 12}, {"weighed", 10}, {"net pounds", 20}, {"net", 6}, {"gross", 6}, {"tare", 6}},
	},
	{kind: "water_found", wants: 1, where: gaugedPlace, says: []phrase{{"water in", 14}, {"paste", 8}}, fill: func(l *line) { l.take("water", "") }},
	{
		kind: "product_named", wants: 1, fits: namesProduct, fill: productSaid, where: gaugedPlace,
		says: []phrase{{"jar says", 22}, {"placard", 14}, {"product is", 20}, {"un", 5}, {"is diesel", 14}, {"is e10", 14}, {"is gasoline", 14}, {"is kerosene", 14}, {"is gas", 12}},
	},
	{
		kind: "load_stated", fits: statesLoad, fill: load, where: loadPlace, checks: []func(*line){unlikeSum, unlikeNet, overTank},
		says: []phrase{{"bill", 14}, {"bill says", 24}, {"load", 6}, {"driver says", 20}, {"paper says", 20}, {"delivery ticket", 20}},
	},
}

// statesLoad wants gallons, or a number that is no count of anything else.
func statesLoad(l *line) int {
	for _, t := range l.toks {
		if t.num != nil && !t.used && t.num.value >= 100 {
			return 4
		}
	}
	if l.has(compartmentSort) && l.bare(-1) > 0 {
		return 4
	}
	return unfit
}

// productSaid is what a compartment is found to hold, and how that is known.
func productSaid(l *line) {
	for i, t := range l.toks {
		if p := products[t.word]; p != "" && !l.said("product") {
			l.put("product", p)
			l.use(i, 1)
		}
	}
	for _, i := range l.numbers() {
		if n := l.toks[i].num; len(n.text) == 4 && n.unit == "" && l.says("placard", "un") {
			l.put("UN", n.text)
			l.use(i, 1)
		}
	}
	for _, w := range []string{"jar", "placard", "paper"} {
		if l.says(w) && !l.said("trust") {
			l.put("trust", w)
		}
	}
}

// namesProduct wants a product, or the number on a placard.
func namesProduct(l *line) int {
	for _, t := range l.toks {
		if products[t.word] != "" {
			return 4
		}
	}
	if l.says("placard", "un") && l.bare(-1) > 0 {
		return 4
	}
	if !l.says("product", "placard", "jar says") {
		return unfit // "it is raining"
	}
	return -8
}

func gaugedPlace(l *line) string {
	if th, ok := l.find(truckSort); ok {
		return th.name
	}
	if c := l.compartmentNamed(); c != "" {
		return c
	}
	return l.place()
}

func stick(l *line) {
	_ = l.takeBefore("product_layer", "fuel") || l.takeAfter("product_layer", "", "fuel", "product")
	_ = l.takeBefore("water_layer", "water") || l.takeAfter("water_layer", "", "water")
	l.inches()
	for _, i := range l.numbers() {
		if u := l.toks[i].num.unit; u == "in" || u == "inches" || u == "inch" {
			key := "depth"
			if l.says("ullage", "outage") {
				key = "ullage"
			}
			l.number(key, i, "")
		}
	}
	_ = l.takeAfter("reads", "", "sticks", "stick", "gauge", "gauged") || l.take("reads", "")
}

// dip reads a number behind each compartment, and the total where it is said.
func dip(l *line) {
	_ = l.takeAfter("total", "", "total") || l.takeBefore("total", "all told") || l.takeBefore("total", "total")
	if n, nums := l.byCompartment(""), l.numbers(); n == 0 && len(nums) == 1 && len(l.named(compartmentSort)) == 1 {
		l.number(l.named(compartmentSort)[0], nums[0], "")
	}
	if l.says("left in her", "all told") && len(l.named(compartmentSort)) == 0 {
		l.take("total", "")
	}
	l.inches()
}

// byCompartment puts the number behind each compartment under its name. It returns how
// many it found.
func (l *line) byCompartment(ending string) (n int) {
	for _, th := range l.things {
		if th.sort != compartmentSort {
			continue
		}
		i := l.behindCompartment(th.at)
		if i < 0 {
			continue
		}
		f, ok := l.takes(th.name + ending)
		if !ok {
			continue
		}
		num, unit := l.toks[i].num, ""
		if num.unit != "" {
			unit, _ = unitOf(f, num.unit)
		} else {
			l.markUnit(i, f, "")
		}
		l.toks[i].used = true
		text := num.amount(unit)
		if p := l.productBehind(i); p != "" {
			if unit == "" {
				text = num.amount("gal")
			}
			text += " " + p
		}
		if l.put(th.name+ending, text) {
			n++
		}
	}
	return n
}

// behindCompartment is the number behind the compartment at token i, -1 for none.
func (l *line) behindCompartment(i int) int {
	for i++; i < len(l.toks); i++ {
		t := l.toks[i]
		if t.num != nil && !t.used {
			return i
		}
		if !between[t.word] && !(t.used && l.sameThing(i)) && t.word != "dry" {
			return -1
		}
	}
	return -1
}

// products are the words for what a compartment holds.
var products = map[string]string{
	"e10": "E10", "e85": "E85", "gas": "gasoline", "gasoline": "gasoline", "diesel": "diesel", "kerosene": "kerosene", "jet": "jet fuel", "unleaded": "gasoline",
}

// productBehind is the product said behind token i.
func (l *line) productBehind(i int) string {
	if i+1 >= len(l.toks) {
		return ""
	}
	p := products[l.toks[i+1].word]
	if p != "" {
		l.use(i+1, 1)
	}
	return p
}

func ticket(l *line) {
	for i, t := range l.toks {
		if !t.used && strings.Contains(t.word, "-") && strings.ContainsAny(t.word, "0123456789") && t.num == nil {
			l.put("ticket", strings.ToUpper(l.raw[t.from:t.to]))
			l.use(i, 1)
			break
		}
	}
	l.threeWeights()
	_ = l.takeAfter("loaded", "", "loaded", "gross")
	_ = l.takeAfter("empty", "", "empty", "tare")
	_ = l.takeBefore("net", "net") || l.takeAfter("net", "", "net") || l.take("net", "")
}

// threeWeights reads a ticket's weights in the order in which they are printed, where
// the third is the first less the second.
func (l *line) threeWeights() {
	nums := l.numbers()
	if len(nums) < 3 || l.says("loaded", "gross", "empty", "tare") {
		return
	}
	a, b, c := l.toks[nums[0]].num.value, l.toks[nums[1]].num.value, l.toks[nums[2]].num.value
	if a-b == c {
		l.number("loaded", nums[0], "")
		l.number("empty", nums[1], "")
		l.number("net", nums[2], "")
	}
}

// load reads what a paper or somebody says was in the tank.
func load(l *line) {
	n := l.byCompartment("")
	_ = l.takeAfter("temp", "", "temp", "at")
	for _, i := range l.numbers() {
		if u := l.toks[i].num.unit; u == "f" || u == "deg" || u == "degrees" || u == "°f" {
			l.number("temp", i, "F")
		}
	}
	_ = l.takeAfter("net60", "", "net60", "net at 60", "net 60") || l.takeBefore("net60", "net") || l.takeAfter("net60", "", "net")
	_ = l.takeAfter("total", "", "total") || l.takeBefore("total", "total")
	if n == 0 {
		l.take("total", "")
	}
	if l.says("driver says", "driver") && l.where == "" {
		l.where = "Driver"
	}
	if l.says("memory") {
		l.put("trust", "driver memory")
		l.spare("memory")
	}
}

func loadPlace(l *line) string {
	if i := l.at("bill of lading"); i >= 0 {
		return "Bill of lading"
	}
	if l.says("bill", "paper") {
		return "Bill of lading"
	}
	return l.placeAfter()
}

// grouped writes gallons as they are read at a distance: 2,788.
func grouped(v float64) string {
	s := fmt.Sprintf("%.0f", v)
	neg := strings.HasPrefix(s, "-")
	s = strings.TrimPrefix(s, "-")
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	if neg {
		return "-" + s
	}
	return s
}

func boardDip(l *line) []string {
	total := 0.0
	for _, p := range l.typ.Values(l.payload) {
		if f, ok := l.takes(p.Key); ok && f.Type == events.AmountsField && !strings.Contains(p.Key, "_") {
			a, err := quantity.Parse[quantity.Gallons](p.Value)
			if err != nil {
				return nil
			}
			total += float64(a.Value())
		}
	}
	return []string{grouped(total) + " gal left in her all told"}
}

// boardStick sets the stick beside the meters of the legs into the truck.
func boardStick(l *line) []string {
	v, ok := l.gallonsOf("reads")
	sum, legs := 0.0, 0
	for _, leg := range l.ctx.Legs {
		if n := len(leg.Readings); leg.To == l.where && n > 0 {
			sum, legs = sum+leg.Readings[n-1].Value-leg.Readings[0].Value, legs+1
		}
	}
	if !ok || legs == 0 {
		return nil
	}
	return []string{fmt.Sprintf("%s: stick %s gal, meters %s gal, %s apart", l.where, grouped(v), grouped(sum), grouped(v-sum))}
}
