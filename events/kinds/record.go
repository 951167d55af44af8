package kinds

import (
	"time"

	"tankside/events"
	. "tankside/events/quantity"
)

// Note is free words, for whatever has no kind of its own.
type Note struct {
	Text  string
	Smoke string
	Fire  string
	Tag   []string
}

// Kind returns note.
func (Note) Kind() events.Kind { return "note" }

// Photo is one photograph, film or drawing.
type Photo struct {
	File      string
	SHA256    string
	Stamp     string // what the camera's own clock wrote
	Direction string // which way it looks
	Shows     string
	Media     string        // its media type, as the bytes say
	Bytes     Amount[Count] // its size
	Privacy   string        // who may see it
}

// Kind returns photo.
func (Photo) Kind() events.Kind { return "photo" }

// Attached is the file of the photo and its sum, which is empty where only its name was
// written down: the size is known of what was taken in.
func (e Photo) Attached() (name, sum string) {
	if !e.Bytes.Said() {
		return e.File, ""
	}
	return e.File, e.SHA256
}

// PlaceFixed is where a named place lies on the map: the place that the entry names.
type PlaceFixed struct {
	Lat      Amount[Degrees] // WGS 84, north positive
	Lon      Amount[Degrees] // WGS 84, east positive
	Accuracy Amount[Feet]    // how far off it may be
	How      string          // phone, map, survey
	CornerOf string          // the zone or the area of which this is a corner
	Corner   Amount[Count]   // its number, going round
}

// Kind returns place_fixed.
func (PlaceFixed) Kind() events.Kind { return "place_fixed" }

// ClockCheck is how far the clock of a device is off.
type ClockCheck struct {
	DeviceClock Amount[Seconds] // positive when it runs ahead
	Reference   string
}

// Kind returns clock_check.
func (ClockCheck) Kind() events.Kind { return "clock_check" }

// ClockOff is how far the device's clock runs ahead, and whether that was said.
func (e ClockCheck) ClockOff() (ahead time.Duration, said bool) {
	return time.Duration(float64(e.DeviceClock.Or(0)) * float64(time.Second)), e.DeviceClock.Said()
}

// RadioLost is a channel gone silent.
type RadioLost struct {
	LastHeard events.Clock
	Cause     string
}

// Kind returns radio_lost.
func (RadioLost) Kind() events.Kind { return "radio_lost" }

// RadioBack is a channel heard again.
type RadioBack struct {
	Gap   Amount[Minutes]
	Cause string
}

// Kind returns radio_back.
func (RadioBack) Kind() events.Kind { return "radio_back" }

// PowerLost is the post running on battery.
type PowerLost struct {
	Laptop  string
	Battery Amount[Percent]
	Cause   string
}

// Kind returns power_lost.
func (PowerLost) Kind() events.Kind { return "power_lost" }

// PowerBack is the post on outside power again.
type PowerBack struct {
	Laptop  string
	Battery Amount[Percent]
}

// Kind returns power_back.
func (PowerBack) Kind() events.Kind { return "power_back" }

// LogOpened is the first entry of a scribe.
type LogOpened struct {
	Laptop string
	Zone   string // offset from UTC
	Clock  string // what the laptop was set by
}

// Kind returns log_opened.
func (LogOpened) Kind() events.Kind { return "log_opened" }

// LogClosed is the last entry of a log, with what is still open.
type LogClosed struct {
	Open []string
}

// Kind returns log_closed.
func (LogClosed) Kind() events.Kind { return "log_closed" }

var recordKinds = []*events.Type{
	events.Declare(events.Spec[Note]{
		Version: 1, Title: "Note", Family: "record",
		Doc:  "Free words, for whatever has no kind of its own; nothing is too small or too odd for a note.",
		Says: []string{"note"},
		Fields: []events.Field[Note]{
			events.Text("text", "Text", func(e *Note) *string { return &e.Text }),
			events.Text("smoke", "Smoke", func(e *Note) *string { return &e.Smoke }),
			events.Text("fire", "Fire", func(e *Note) *string { return &e.Fire }),
			events.Texts("tag", "Tag", func(e *Note) *[]string { return &e.Tag }),
		},
		Line: func(e Note) string {
			return sentence("Note", e.Text, say("smoke:", e.Smoke), say("fire:", e.Fire), listed("tags", e.Tag))
		},
		Example: Note{Text: "driver taken home by his company", Smoke: "steam and coolant", Fire: "no"},
		Feeds:   []string{events.NarrativeOnly},
	}),
	events.Declare(events.Spec[Photo]{
		Version: 2, Upcasts: []events.Upcast{onlyMore}, Title: "Photo", Family: "record",
		Doc:  "A photograph, film, drawing or paper: its file and the sum that shows it was not changed. tankside photo takes the file itself in.",
		Says: []string{"photo", "picture", "video", "drawing"},
		Fields: []events.Field[Photo]{
			events.Text("file", "File", func(e *Photo) *string { return &e.File }),
			events.Text("sha256", "SHA-256", func(e *Photo) *string { return &e.SHA256 }),
			events.Text("stamp", "Camera clock", func(e *Photo) *string { return &e.Stamp }).Note("The time the camera wrote, right or wrong."),
			events.Text("direction", "Looks", func(e *Photo) *string { return &e.Direction }),
			events.Text("shows", "Shows", func(e *Photo) *string { return &e.Shows }),
			events.Text("media", "Media type", func(e *Photo) *string { return &e.Media }).Note("As the bytes say; filled in where the file is taken in."),
			events.Measure("bytes", "Bytes", 0, 1e12, func(e *Photo) *Amount[Count] { return &e.Bytes }).Note("Filled in where the file is taken in."),
			events.Choice("privacy", "Who may see it", []string{"public", "agency", "medical"}, func(e *Photo) *string { return &e.Privacy }).
				Note("The public edition shows only what is marked public."),
		},
		Line: func(e Photo) string {
			return sentence("Photo", e.File, e.Shows, say("looks", e.Direction), say("camera clock", e.Stamp), say("for", e.Privacy),
				e.Media, with("bytes", e.Bytes), say("SHA-256", e.SHA256))
		},
		Example: Photo{File: "P1014.jpg", Stamp: "2025-10-14 22:41", Direction: "west", Shows: "C4 lid", Media: "image/jpeg", Bytes: Of[Count](2148331), Privacy: "agency"},
		Feeds:   []string{events.NarrativeOnly},
	}),
	events.Declare(events.Spec[PlaceFixed]{
		Version: 1, Title: "Place fixed", Family: "record",
		Doc:  "Where a place lies on the map (WGS 84), how far off that may be and how it is known. The place is that of the entry; a later one is where it moved to, and the correction of an earlier one where it was all along.",
		Says: []string{"place fixed", "coordinates"},
		Fields: []events.Field[PlaceFixed]{
			events.Measure("lat", "Latitude", -90, 90, func(e *PlaceFixed) *Amount[Degrees] { return &e.Lat }).Note("North is positive; in the United States between 17 and 72."),
			events.Measure("lon", "Longitude", -180, 180, func(e *PlaceFixed) *Amount[Degrees] { return &e.Lon }).Note("East is positive; in the United States it is negative."),
			events.Measure("accuracy", "Accuracy", 0, 1e5, func(e *PlaceFixed) *Amount[Feet] { return &e.Accuracy }).Note("How far off it may be; 5 m is as good as 16 ft."),
			events.Text("how", "How known", func(e *PlaceFixed) *string { return &e.How }).Note("Phone, map, survey."),
			events.Text("corner_of", "Corner of", func(e *PlaceFixed) *string { return &e.CornerOf }).Note("The zone or area of which this is a corner."),
			events.Measure("corner", "Corner", 1, 1000, func(e *PlaceFixed) *Amount[Count] { return &e.Corner }).Note("Its number, going round."),
		},
		Line: func(e PlaceFixed) string {
			return sentence("Place fixed", say("corner of", e.CornerOf), with("corner", e.Corner), with("latitude", e.Lat), with("longitude", e.Lon),
				with("within", e.Accuracy), say("by", e.How))
		},
		Example: PlaceFixed{Lat: Of[Degrees](40.1234), Lon: Of[Degrees](-82.4567), Accuracy: Of[Feet](16), How: "phone"},
		Feeds:   []string{"places"},
	}),
	events.Declare(events.Spec[ClockCheck]{
		Version: 1, Title: "Clock check", Family: "record",
		Doc:  "How far the clock of an instrument, a laptop or a camera is off, against what; positive means it runs ahead.",
		Says: []string{"clock", "clock check", "runs fast", "runs slow"},
		Fields: []events.Field[ClockCheck]{
			events.Measure("device_clock", "Ahead by", -1e9, 1e9, func(e *ClockCheck) *Amount[Seconds] { return &e.DeviceClock }).Note("Negative when the device is behind."),
			events.Text("reference", "Against", func(e *ClockCheck) *string { return &e.Reference }),
		},
		Line: func(e ClockCheck) string {
			return sentence("Clock checked", with("ahead by", e.DeviceClock), say("against", e.Reference))
		},
		Example: ClockCheck{DeviceClock: Of[Seconds](250), Reference: "phone time"},
		Feeds:   []string{"quality"},
	}),
	events.Declare(events.Spec[RadioLost]{
		Version: 1, Title: "Radio lost", Family: "record",
		Doc:  "A radio channel has gone silent; what comes in by runner meanwhile may be out of order.",
		Says: []string{"radio lost", "no radio", "channel dead"},
		Fields: []events.Field[RadioLost]{
			events.ClockTime("last_heard", "Last heard", func(e *RadioLost) *events.Clock { return &e.LastHeard }),
			events.Text("cause", "Cause", func(e *RadioLost) *string { return &e.Cause }),
		},
		Line: func(e RadioLost) string {
			return sentence("Radio lost", say("last heard", string(e.LastHeard)), say("because of", e.Cause))
		},
		Example: RadioLost{LastHeard: "00:45:30"},
		Feeds:   []string{"quality"},
	}),
	events.Declare(events.Spec[RadioBack]{
		Version: 1, Title: "Radio back", Family: "record",
		Doc:  "A radio channel is heard again.",
		Says: []string{"radio back", "channel back"},
		Fields: []events.Field[RadioBack]{
			events.Measure("gap", "Gap", 0, 1e5, func(e *RadioBack) *Amount[Minutes] { return &e.Gap }),
			events.Text("cause", "Cause", func(e *RadioBack) *string { return &e.Cause }),
		},
		Line: func(e RadioBack) string {
			return sentence("Radio back", with("gap", e.Gap), say("because of", e.Cause))
		},
		Example: RadioBack{Gap: Of[Minutes](12), Cause: "relay battery"},
		Feeds:   []string{"quality"},
	}),
	events.Declare(events.Spec[PowerLost]{
		Version: 1, Title: "Power lost", Family: "record",
		Doc:  "The post has lost outside power and runs on battery.",
		Says: []string{"power lost", "on battery"},
		Fields: []events.Field[PowerLost]{
			events.Text("laptop", "Laptop", func(e *PowerLost) *string { return &e.Laptop }),
			events.Measure("battery", "Battery", 0, 100, func(e *PowerLost) *Amount[Percent] { return &e.Battery }),
			events.Text("cause", "Cause", func(e *PowerLost) *string { return &e.Cause }),
		},
		Line: func(e PowerLost) string {
			return sentence("Power lost", say("laptop", e.Laptop), with("battery", e.Battery), say("because of", e.Cause))
		},
		Example: PowerLost{Laptop: "A", Battery: Of[Percent](31)},
		Feeds:   []string{"quality"},
	}),
	events.Declare(events.Spec[PowerBack]{
		Version: 1, Title: "Power back", Family: "record",
		Doc:  "The post has outside power again.",
		Says: []string{"power back"},
		Fields: []events.Field[PowerBack]{
			events.Text("laptop", "Laptop", func(e *PowerBack) *string { return &e.Laptop }),
			events.Measure("battery", "Battery", 0, 100, func(e *PowerBack) *Amount[Percent] { return &e.Battery }),
		},
		Line: func(e PowerBack) string {
			return sentence("Power back", say("laptop", e.Laptop), with("battery", e.Battery))
		},
		Example: PowerBack{Laptop: "A", Battery: Of[Percent](29)},
		Feeds:   []string{"quality"},
	}),
	events.Declare(events.Spec[LogOpened]{
		Version: 1, Title: "Log opened", Family: "record",
		Doc:  "A scribe opens the log: on which laptop, in which zone, set by which clock.",
		Says: []string{"opening the log", "log open"},
		Fields: []events.Field[LogOpened]{
			events.Text("laptop", "Laptop", func(e *LogOpened) *string { return &e.Laptop }),
			events.Text("zone", "Zone", func(e *LogOpened) *string { return &e.Zone }),
			events.Text("clock", "Set by", func(e *LogOpened) *string { return &e.Clock }),
		},
		Line: func(e LogOpened) string {
			return sentence("Log opened", say("laptop", e.Laptop), say("zone", e.Zone), say("set by", e.Clock))
		},
		Example: LogOpened{Laptop: "A", Zone: "UTC-5", Clock: "phone time"},
		Feeds:   []string{"quality", "phases", "zones", "command", "resources", "people"},
	}),
	events.Declare(events.Spec[LogClosed]{
		Version: 1, Title: "Log closed", Family: "record",
		Doc:  "The scribe closes the log and names what is still open; later results are still taken and marked.",
		Says: []string{"log closed", "closing the log"},
		Fields: []events.Field[LogClosed]{
			events.Texts("open", "Still open", func(e *LogClosed) *[]string { return &e.Open }),
		},
		Line:     func(e LogClosed) string { return sentence("Log closed", listed("still open:", e.Open)) },
		Example:  LogClosed{Open: []string{"lab", "booms in till Friday"}},
		Feeds:    []string{"quality", "phases", "zones", "command", "resources", "people"},
		Decision: true,
	}),
}
