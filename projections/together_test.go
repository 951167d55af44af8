package projections

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"tankside/events/kinds"
	"tankside/events/quantity"
)

// A truck that never leaves and takes leg after leg is answered by the order of
// trust, and the state says why.
func TestTooManyLegsForOneTruck(t *testing.T) {
	var rows []line
	for i := range mostTogether + 5 {
		leg, at := fmt.Sprintf("L%d", i), fmt.Sprintf("10:%02d", i%60)
		rows = append(rows, line{at, "C1 to R1", kinds.PumpOn{Leg: leg}}, line{at, "C1 to R1", kinds.PumpOff{Leg: leg, Meter: quantity.Of[quantity.Gallons](10)}})
	}
	s := toldOf(t, rows...)
	raw, err := json.Marshal(s.Volume.State(s.AsOf))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(raw), "streams run into one load") {
		t.Error("the state does not say that too many legs run into one load to reconcile them")
	}
}
