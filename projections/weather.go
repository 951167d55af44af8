package projections

import (
	"tankside/events"
	"tankside/events/kinds"
)

// WeatherRead is the weather as somebody read it.
type WeatherRead struct {
	At        Moment `json:"at"`
	Place     string `json:"place,omitempty"`
	WindFrom  string `json:"wind_from,omitempty"` // a compass point or a bearing, as said
	Wind      Figure `json:"wind"`
	Gust      Figure `json:"gust"`
	Temp      Figure `json:"temp"`
	Humidity  Figure `json:"humidity"`
	Rain      string `json:"rain,omitempty"`
	Lightning string `json:"lightning,omitempty"`
	Forecast  string `json:"forecast,omitempty"`
}

// Weather is what the weather was, reading by reading.
type Weather struct {
	Reads []WeatherRead
}

// Apply folds one entry.
func (w *Weather) Apply(e *events.Entry) {
	k, ok := e.Payload.(kinds.Weather)
	if !ok {
		return
	}
	w.Reads = append(w.Reads, WeatherRead{
		At: MomentOf(e), Place: e.Where, WindFrom: k.WindFrom,
		Wind: FigureOf(k.Wind, "", e.Seq), Gust: FigureOf(k.Gust, "", e.Seq),
		Temp: FigureOf(k.Temp, "", e.Seq), Humidity: FigureOf(k.Humidity, "", e.Seq),
		Rain: k.Rain, Lightning: k.Lightning, Forecast: k.Forecast,
	})
}
