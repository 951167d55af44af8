package console

import (
	"testing"
	"time"

	"tankside/events"
	"tankside/events/intake/lines"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// TestShortAhead holds the average that the preview shows against sums by hand: the five
// readings at the hose of the invented incident, and what is too far off to count.
func TestShortAhead(t *testing.T) {
	at := func(clock string) time.Time {
		out, err := time.Parse("15:04", clock)
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	read := func(v quantity.PPM) kinds.AirRead { return kinds.AirRead{Benzene: quantity.Of(v)} }
	ctx := lines.Context{Entries: []lines.Entry{
		{Seq: 1, At: at("23:30"), Where: "R1 hose end", Payload: read(4)},
		{Seq: 2, At: at("23:35"), Where: "R1 hose end", Payload: read(10)},
		{Seq: 3, At: at("23:36"), Where: "R2 hose end", Payload: read(90)},
		{Seq: 4, At: at("23:37"), Where: "R1 hose end", Payload: read(90), Off: true},
	}}
	for _, tt := range []struct {
		where, clock, want string
		payload            events.Payload
	}{
		// held: (5 x 4 + 10 x 10) / 15 = 8.0; lines: (5 x 7 + 10 x 8) / 15 = 7.7
		{"R1 hose end", "23:45", "Benzene at R1 hose end, last 15 min: average 7.7 to 8.0 ppm (limit 5).", read(6)},
		// held: 5 x 4 / 15 = 1.3; lines: 5 x 7 / 15 = 2.3
		{"R1 hose end", "23:35", "Benzene at R1 hose end, last 15 min: average 1.3 to 2.3 ppm (limit 5); 10 of the 15 min unread, counted as nothing.", read(10)},
		{"C5 ditch", "23:45", "Benzene at C5 ditch: no reading in the 15 min before, so no 15-min average yet.", read(3)},
		{"R1 hose end", "23:45", "", kinds.AirRead{LEL: quantity.Of[quantity.PercentLEL](3)}},
	} {
		got := ""
		for _, s := range shortAhead(&ctx, []events.Draft{{Occurred: events.At(at(tt.clock)), Where: tt.where, Payload: tt.payload}}) {
			got += s
		}
		if got != tt.want {
			t.Errorf("%s %s: %q, want %q", tt.clock, tt.where, got, tt.want)
		}
	}
}
