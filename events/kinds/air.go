package kinds

import (
	"tankside/events"
	. "tankside/events/quantity"
)

// AirRead is one set of gas readings at one place.
type AirRead struct {
	LEL          Amount[PercentLEL]
	O2           Amount[Percent]
	VOC          Amount[PPM]
	Benzene      Amount[PPM]
	CO           Amount[PPM]
	H2S          Amount[PPM]
	OverRange    string // the gases past the end of the scale
	Under        string // the gases looked for and not found
	Height       Amount[Feet]
	Distance     Amount[Feet]
	Side         string // upwind, downwind or across
	Shown        string // the highest seen or what it settled at
	AveragedOver Amount[Minutes]
	Instrument   string
	Lamp         Amount[ElectronVolts]
	Factor       Amount[Ratio]
	Tube         string
	Purpose      string // entry, work point, perimeter, clearance
	Criterion    string // what the reading has to meet
}

// Kind returns air_read.
func (AirRead) Kind() events.Kind { return "air_read" }

// InstrumentChecked is a bump test, a span or a fresh-air zero of a gas monitor.
type InstrumentChecked struct {
	Instrument string
	Gas        string
	Bump       string
	Span       string // the gas and what the monitor made of it
	FreshAir   string
	Calibrated string // the date on its label
	Lamp       Amount[ElectronVolts]
	Factor     Amount[Ratio]
	Result     string
}

// Kind returns instrument_checked.
func (InstrumentChecked) Kind() events.Kind { return "instrument_checked" }

// Weather is the weather as it was read or told.
type Weather struct {
	WindFrom  string // a compass point or a bearing
	Wind      Amount[MPH]
	Gust      Amount[MPH]
	Temp      Amount[Fahrenheit]
	Humidity  Amount[Percent]
	Rain      string
	Lightning string
	Forecast  string
}

// Kind returns weather.
func (Weather) Kind() events.Kind { return "weather" }

var airKinds = []*events.Type{
	events.Declare(events.Spec[AirRead]{
		Version: 1, Title: "Air read", Family: "air",
		Doc:  "Gas readings at one place; log each check as it is called, also the ones that read zero.",
		Says: []string{"air", "reading", "monitor", "meter says"},
		Fields: []events.Field[AirRead]{
			events.Measure("LEL", "LEL", 0, 100, func(e *AirRead) *Amount[PercentLEL] { return &e.LEL }).Said("lel", "explosive limit"),
			events.Measure("O2", "Oxygen", 0, 25, func(e *AirRead) *Amount[Percent] { return &e.O2 }).Said("oxygen", "o2"),
			events.Measure("VOC", "VOC", 0, pureGas, func(e *AirRead) *Amount[PPM] { return &e.VOC }).Said("voc", "pid"),
			events.Measure("benzene", "Benzene", 0, pureGas, func(e *AirRead) *Amount[PPM] { return &e.Benzene }).Said("benzene", "bz"),
			events.Measure("CO", "Carbon monoxide", 0, pureGas, func(e *AirRead) *Amount[PPM] { return &e.CO }).Said("co", "carbon monoxide"),
			events.Measure("H2S", "Hydrogen sulphide", 0, pureGas, func(e *AirRead) *Amount[PPM] { return &e.H2S }).Said("h2s", "hydrogen sulfide", "hydrogen sulphide"),
			events.Text("over_range", "Over range", func(e *AirRead) *string { return &e.OverRange }).Said("over range", "pegged").
				Note("The gases whose sensor was past the end of its scale; leave their number out."),
			events.Text("under", "Below detection", func(e *AirRead) *string { return &e.Under }).Said("not detected", "nd").
				Note("The gases looked for and not found, with the detection limit."),
			events.Measure("height", "Height", -100, 1000, func(e *AirRead) *Amount[Feet] { return &e.Height }).Said("height", "high").
				Note("Above the ground; negative down a drain or a manhole."),
			events.Measure("distance", "Distance", 0, 10_000, func(e *AirRead) *Amount[Feet] { return &e.Distance }).Said("away").
				Note("From the tank or the leak."),
			events.Text("side", "Side", func(e *AirRead) *string { return &e.Side }).Said("upwind", "downwind"),
			events.Choice("shown", "Shown", []string{"peak", "steady"}, func(e *AirRead) *string { return &e.Shown }),
			events.Measure("averaged_over", "Averaged over", 0, 1440, func(e *AirRead) *Amount[Minutes] { return &e.AveragedOver }).Said("average over"),
			events.Text("instrument", "Instrument", func(e *AirRead) *string { return &e.Instrument }).Said("monitor", "instrument"),
			events.Measure("lamp", "Lamp", 0, 20, func(e *AirRead) *Amount[ElectronVolts] { return &e.Lamp }),
			events.Measure("factor", "Correction factor", 0, 1000, func(e *AirRead) *Amount[Ratio] { return &e.Factor }).Said("factor", "cf"),
			events.Text("tube", "Tube or method", func(e *AirRead) *string { return &e.Tube }).Said("tube"),
			events.Text("purpose", "Purpose", func(e *AirRead) *string { return &e.Purpose }).Said("for"),
			events.Text("criterion", "Criterion", func(e *AirRead) *string { return &e.Criterion }),
		},
		Line: func(e AirRead) string {
			return sentence("Air read", with("LEL", e.LEL), with("oxygen", e.O2), with("VOC", e.VOC), with("benzene", e.Benzene),
				with("CO", e.CO), with("H2S", e.H2S), say("over range:", e.OverRange), say("below detection:", e.Under), e.Shown,
				with("averaged over", e.AveragedOver), with("at height", e.Height), with("", e.Distance, "away"), e.Side,
				say("on", e.Instrument), with("lamp", e.Lamp), with("factor", e.Factor), say("by", e.Tube), say("for", e.Purpose), say("to meet:", e.Criterion))
		},
		Example: AirRead{LEL: Of[PercentLEL](22), O2: Of[Percent](20.6), VOC: Of[PPM](610), Benzene: Of[PPM](4.6), Instrument: "M2"},
		Feeds:   []string{"air"},
	}),
	events.Declare(events.Spec[InstrumentChecked]{
		Version: 1, Title: "Instrument checked", Family: "air",
		Doc:  "A bump test, a span check or a fresh-air zero of a gas monitor; log it before the monitor goes in and after it comes out.",
		Says: []string{"bump test", "bumped", "calibrated", "zeroed", "span"},
		Fields: []events.Field[InstrumentChecked]{
			events.Text("instrument", "Instrument", func(e *InstrumentChecked) *string { return &e.Instrument }).Said("monitor", "instrument"),
			events.Text("gas", "Check gas", func(e *InstrumentChecked) *string { return &e.Gas }).Said("cal gas", "gas"),
			events.Text("bump", "Bump test", func(e *InstrumentChecked) *string { return &e.Bump }).Said("bump", "bumped"),
			events.Text("span", "Span", func(e *InstrumentChecked) *string { return &e.Span }),
			events.Text("fresh_air", "Fresh-air zero", func(e *InstrumentChecked) *string { return &e.FreshAir }).Said("zero", "zeroed", "fresh air"),
			events.Text("calibrated", "Last calibrated", func(e *InstrumentChecked) *string { return &e.Calibrated }),
			events.Measure("lamp", "Lamp", 0, 20, func(e *InstrumentChecked) *Amount[ElectronVolts] { return &e.Lamp }),
			events.Measure("factor", "Correction factor", 0, 1000, func(e *InstrumentChecked) *Amount[Ratio] { return &e.Factor }).Said("factor", "cf"),
			events.Text("result", "Result", func(e *InstrumentChecked) *string { return &e.Result }).Said("passed", "failed"),
		},
		Line: func(e InstrumentChecked) string {
			return sentence("Instrument checked", e.Instrument, e.Result, say("gas", e.Gas), say("bump", e.Bump), say("span", e.Span),
				say("fresh-air zero", e.FreshAir), say("last calibrated", e.Calibrated), with("lamp", e.Lamp), with("factor", e.Factor))
		},
		Example: InstrumentChecked{Instrument: "M2", Gas: "pentane 50 % LEL", Bump: "yes", FreshAir: "good", Lamp: Of[ElectronVolts](10.6), Result: "passed"},
		Feeds:   []string{"air"},
	}),
	events.Declare(events.Spec[Weather]{
		Version: 1, Title: "Weather", Family: "air",
		Doc:  "Wind, temperature and what falls from the sky; log it at the start and at every change of wind.",
		Says: []string{"weather", "wind"},
		Fields: []events.Field[Weather]{
			events.Text("wind_from", "Wind from", func(e *Weather) *string { return &e.WindFrom }).Said("wind", "out of the"),
			events.Measure("wind", "Wind", 0, 250, func(e *Weather) *Amount[MPH] { return &e.Wind }),
			events.Measure("gust", "Gusts", 0, 250, func(e *Weather) *Amount[MPH] { return &e.Gust }).Said("gusting", "gusts"),
			events.Measure("temp", "Air temperature", coldest, hottest, func(e *Weather) *Amount[Fahrenheit] { return &e.Temp }).Said("degrees", "temperature"),
			events.Measure("humidity", "Humidity", 0, 100, func(e *Weather) *Amount[Percent] { return &e.Humidity }).Said("humidity"),
			events.Text("rain", "Rain or snow", func(e *Weather) *string { return &e.Rain }).Said("rain", "snow", "sleet", "fog"),
			events.Text("lightning", "Lightning", func(e *Weather) *string { return &e.Lightning }).Said("lightning", "thunder"),
			events.Text("forecast", "Forecast", func(e *Weather) *string { return &e.Forecast }).Said("forecast"),
		},
		Line: func(e Weather) string {
			return sentence("Weather", say("wind from", e.WindFrom), with("wind", e.Wind), with("gusts", e.Gust), with("air", e.Temp), with("humidity", e.Humidity),
				say("rain or snow:", e.Rain), say("lightning:", e.Lightning), say("forecast:", e.Forecast))
		},
		Example: Weather{WindFrom: "SW", Wind: Of[MPH](6), Temp: Of[Fahrenheit](54), Humidity: Of[Percent](71)},
		Feeds:   []string{"weather", "volume"},
	}),
}
