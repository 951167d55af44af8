package findings

import (
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

func TestLogRules(t *testing.T) {
	scene := line{"10:00", "SR-9", kinds.OnScene{Unit: []string{"Engine 1"}}}
	gone := line{"10:10", "Tac 3", kinds.RadioLost{}}
	runCases(t, []ruleCase{
		{"radio-lost", "12 min", 1, []line{gone, {"10:22", "Tac 3", kinds.RadioBack{}}}},
		{"radio-lost", "5 min", 0, []line{gone, {"10:15", "Tac 3", kinds.RadioBack{}}}},
		{"nothing-logged", "31 min", 1, []line{scene, {"10:31", "", kinds.Note{Text: "back"}}}},
		{"nothing-logged", "30 min", 0, []line{scene, {"10:30", "", kinds.Note{Text: "back"}}}},
		{"nothing-logged", "the tank on its wheels", 0, []line{scene, {"10:20", "Tank", kinds.OnWheels{}}, {"12:00", "", kinds.Note{Text: "ticket"}}}},
		{"doubt-open", "open", 1, []line{{"10:00", "Leg L1", kinds.DoubtRaised{Gap: quantity.Of[quantity.Gallons](600)}}}},
		{"doubt-open", "settled", 0, []line{{"10:00", "Leg L1", kinds.DoubtRaised{}}, {"10:30", "Leg L1", kinds.DoubtSettled{Ruling: "meter stands"}}}},
		{"crossing-told-late", "told at once", 0, []line{{"10:00", "Gate", kinds.InHot{Pair: "1"}}}},
		{"told-before-it-happened", "told a minute later", 0, []line{{"10:00", "Gate", kinds.InHot{Pair: "1"}}}},
		{"clock-off", "61 s slow", 1, []line{{"10:00", "Meter", kinds.ClockCheck{DeviceClock: quantity.Of[quantity.Seconds](-61)}}}},
	})
}

// radio gaps are told with who was in when they began.
func TestRadioLostSaysWhoWasIn(t *testing.T) {
	got := told(judged(story(t,
		line{"10:00", "Gate", kinds.InHot{Pair: "3"}}, line{"10:10", "Tac 3", kinds.RadioLost{}}, line{"10:22", "Tac 3", kinds.RadioBack{}},
	), events.View{}, Defaults()), "radio-lost")
	if len(got) != 1 || got[0].Severity != "caution" || len(got[0].From) != 3 {
		t.Errorf("radio-lost = %+v, want a caution that cites the entry into the zone", got)
	}
}
