package projections

import (
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections/calc/petroleum"
)

// A department's own figures go where those of the trade would: into the shrinkage,
// into what a ticket weighs, and into what words mean the same product.
func TestOwnProducts(t *testing.T) {
	load := func(product string) line {
		a := gal(1000)
		a.Words = product
		return line{"09:00", "bill of lading", kinds.LoadStated{C: events.KeyedAmounts[quantity.Gallons]{{Key: "C1", Value: a}}, Basis: "gross", Temp: quantity.Of[quantity.Fahrenheit](80)}}
	}
	rows := []line{
		load("marine gas oil"),
		{"09:30", "C1", kinds.ProductNamed{Product: "MGO", Trust: "sample"}},
		{"10:00", "C1 to R1", kinds.PumpOn{Leg: "L1"}},
		{"10:20", "C1 to R1", kinds.PumpOff{Leg: "L1"}},
		{"11:00", "R1", kinds.ScaleTicket{Net: lb(7100)}},
	}
	own, _ := petroleum.Defaults().Find("diesel")
	own.Name, own.Names, own.Source, own.Alpha, own.PerGallon = "marine gas oil", []string{"marine gas oil", "mgo"}, "supplier's data sheet", 0.0005, 7.1
	volume := func(options ...Option) VolumeState {
		inc := Fold(kinds.Catalogue(), story(t, rows...), options...)
		return inc.Volume.State(inc.AsOf)
	}
	s := volume(WithProducts(petroleum.Defaults().With(own)))
	near1(t, "load at 60 F", s.Load, 1000*(1-0.0005*20), 1e-9)
	if c := s.Compartments[0]; !strings.Contains(c.Load.Method, "supplier's data sheet") || c.Product != "marine gas oil" {
		t.Errorf("load of %s by %q; want that of marine gas oil by its sheet", c.Product, c.Load.Method)
	}
	if f := s.Products; len(f) != 1 || f[0].Product != "marine gas oil" || f[0].Weight.Value != 7.1 || f[0].Source != "supplier's data sheet" {
		t.Errorf("figures %+v; want those of the sheet for marine gas oil", f)
	}
	near1(t, "by the scale", method(t, receiver(t, s, "R1").Measured, "scale").Net.Figure, 1000, 1e-9)

	trade := volume()
	near1(t, "load of what the trade does not name", trade.Load, 1000*(1-unnamedAlpha*20), 1e-9)
	if m := method(t, receiver(t, trade, "R1").Measured, "scale"); m.Net.Known {
		t.Errorf("the trade weighs %v of a product it does not name", m.Net)
	}
}
