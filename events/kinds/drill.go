package kinds

import (
	"tankside/events"
	. "tankside/events/quantity"
)

// GearReady is drilling and pumping gear set up and looked over.
type GearReady struct {
	Drill      string // air, hand
	Pump       string
	Compressor Amount[PSI]
	Air        string
	Hoses      string
	HoseLength Amount[Feet]
	Test       Amount[PSI]
	Bonded     string
	Valves     string
	CalGas     string
	Bump       string
	Factor     Amount[Ratio]
	Continuous string
	Cribs      string
}

// Kind returns gear_ready.
func (GearReady) Kind() events.Kind { return "gear_ready" }

// HoleMarked is a place chosen to drill.
type HoleMarked struct {
	Hole       []string // C4-L, C4-V
	Use        string
	Size       Amount[Inches]
	At         string // measured from what
	ClearOf    string // baffle, weld, bulkhead
	ApprovedBy string
}

// Kind returns hole_marked.
func (HoleMarked) Kind() events.Kind { return "hole_marked" }

// HoleDrilled is a hole cut through the shell.
type HoleDrilled struct {
	Hole  []string // C4-L, C4-V
	State string
	Size  Amount[Inches]
	Use   string // liquid, vapour
	Tool  string // the tool and what drives it
	Lube  string
	Lost  Amount[Gallons]
	LEL   Amount[PercentLEL]
	Seen  string
	Foam  string
}

// Kind returns hole_drilled.
func (HoleDrilled) Kind() events.Kind { return "hole_drilled" }

// HolePlugged is a drilled hole or an opened outlet closed again.
type HolePlugged struct {
	Hole  []string // C4-L, C4-V, or the outlet
	By    string   // the device
	Check string   // how it held
}

// Kind returns hole_plugged.
func (HolePlugged) Kind() events.Kind { return "hole_plugged" }

// OutletOpened is an opening the tank came with, opened to take product out or let air in.
type OutletOpened struct {
	Outlet []string // C1-O
	Size   Amount[Inches]
	Use    string // liquid, vapour
	Lost   Amount[Gallons]
}

// Kind returns outlet_opened.
func (OutletOpened) Kind() events.Kind { return "outlet_opened" }

var drillKinds = []*events.Type{
	events.Declare(events.Spec[GearReady]{
		Version: 1, Title: "Gear ready", Family: "drilling",
		Doc:  "Drilling and pumping gear set up and looked over before it is used.",
		Says: []string{"gear ready", "pump set", "drill ready", "compressor at", "hoses set", "cribbing set"},
		Fields: []events.Field[GearReady]{
			events.Text("drill", "Drill", func(e *GearReady) *string { return &e.Drill }).Said("drill"),
			events.Text("pump", "Pump", func(e *GearReady) *string { return &e.Pump }).Said("diaphragm"),
			events.Measure("compressor", "Compressor", 0, 10_000, func(e *GearReady) *Amount[PSI] { return &e.Compressor }).Said("compressor"),
			events.Text("air", "Air source", func(e *GearReady) *string { return &e.Air }),
			events.Text("hoses", "Hoses", func(e *GearReady) *string { return &e.Hoses }).Said("hose set"),
			events.Measure("hose_length", "Hose length", 0, 10_000, func(e *GearReady) *Amount[Feet] { return &e.HoseLength }).Said("hose"),
			events.Measure("test", "Test pressure", 0, 10_000, func(e *GearReady) *Amount[PSI] { return &e.Test }).Said("tested at", "held"),
			events.Text("bonded", "Bonded", func(e *GearReady) *string { return &e.Bonded }).Said("bonded"),
			events.Text("valves", "Valve line-up", func(e *GearReady) *string { return &e.Valves }).Said("valves", "lined up"),
			events.Text("cal_gas", "Check gas", func(e *GearReady) *string { return &e.CalGas }).Said("cal gas"),
			events.Text("bump", "Bump test", func(e *GearReady) *string { return &e.Bump }).Said("bump"),
			events.Measure("factor", "Correction factor", 0, 1000, func(e *GearReady) *Amount[Ratio] { return &e.Factor }).Said("factor", "cf"),
			events.Text("continuous", "Continuous monitor", func(e *GearReady) *string { return &e.Continuous }).Said("continuous"),
			events.Text("cribs", "Cribbing", func(e *GearReady) *string { return &e.Cribs }).Said("cribs", "cribbing"),
		},
		Line: func(e GearReady) string {
			return sentence("Gear ready", say("drill", e.Drill), say("pump", e.Pump), with("compressor", e.Compressor), say("air from", e.Air), say("hoses", e.Hoses),
				with("hose", e.HoseLength), with("tested at", e.Test), say("bonded:", e.Bonded), say("valves", e.Valves), say("check gas", e.CalGas),
				say("bump", e.Bump), with("factor", e.Factor), say("continuous monitor:", e.Continuous), say("cribbing", e.Cribs))
		},
		Example: GearReady{Drill: "air", Pump: "air diaphragm 2 in", Compressor: Of[PSI](110), Hoses: "gasoline set"},
		Feeds:   []string{"resources", "air"},
	}),
	events.Declare(events.Spec[HoleMarked]{
		Version: 1, Title: "Hole marked", Family: "drilling",
		Doc:  "A place chosen to drill, what it keeps clear of and who approved it.",
		Says: []string{"marked", "drill here", "hole marked", "drill site"},
		Fields: []events.Field[HoleMarked]{
			events.Texts("hole", "Hole", func(e *HoleMarked) *[]string { return &e.Hole }).Said("hole"),
			events.Text("use", "Use", func(e *HoleMarked) *string { return &e.Use }).Said("liquid", "vapour", "vapor"),
			events.Measure("size", "Size", 0, 24, func(e *HoleMarked) *Amount[Inches] { return &e.Size }),
			events.Text("at", "At", func(e *HoleMarked) *string { return &e.At }),
			events.Text("clear_of", "Clear of", func(e *HoleMarked) *string { return &e.ClearOf }).Said("clear of", "avoiding"),
			events.Text("approved_by", "Approved by", func(e *HoleMarked) *string { return &e.ApprovedBy }).Said("approved"),
		},
		Line: func(e HoleMarked) string {
			return sentence("Hole marked", listed("", e.Hole), e.Use, with("", e.Size), say("at", e.At), say("clear of", e.ClearOf), say("approved by", e.ApprovedBy))
		},
		Example: HoleMarked{Hole: []string{"C4-L"}, Use: "liquid", Size: Of[Inches](3), At: "14 in behind the front bulkhead", ClearOf: "baffle and weld", ApprovedBy: "Hazmat Group Supervisor"},
		Feeds:   []string{"holes"},
	}),
	events.Declare(events.Spec[HoleDrilled]{
		Version: 1, Title: "Hole drilled", Family: "drilling",
		Doc:  "A hole cut through the shell; log it when the cutter is through, with what was lost.",
		Says: []string{"drilled", "hole in", "through on", "liquid hole", "vapour hole", "vapor hole"},
		Fields: []events.Field[HoleDrilled]{
			events.Texts("hole", "Hole", func(e *HoleDrilled) *[]string { return &e.Hole }).Said("hole"),
			events.Choice("state", "State", []string{"started", "through", "fitted"}, func(e *HoleDrilled) *string { return &e.State }).
				Note("Not said means through."),
			events.Measure("size", "Size", 0, 24, func(e *HoleDrilled) *Amount[Inches] { return &e.Size }),
			events.Text("use", "Use", func(e *HoleDrilled) *string { return &e.Use }).Said("liquid", "vapour", "vapor", "vent"),
			events.Text("tool", "Tool", func(e *HoleDrilled) *string { return &e.Tool }).Said("hole saw", "drill"),
			events.Text("lube", "Lubricant", func(e *HoleDrilled) *string { return &e.Lube }).Said("water", "soap"),
			events.Measure("lost", "Lost", 0, mostGallons, func(e *HoleDrilled) *Amount[Gallons] { return &e.Lost }).Said("in the pan", "lost"),
			events.Measure("LEL", "LEL before", 0, 100, func(e *HoleDrilled) *Amount[PercentLEL] { return &e.LEL }).Said("lel"),
			events.Text("seen", "Pressure or vapour seen", func(e *HoleDrilled) *string { return &e.Seen }).Said("hissed", "vapour came", "breathing"),
			events.Text("foam", "Foam down", func(e *HoleDrilled) *string { return &e.Foam }),
		},
		Line: func(e HoleDrilled) string {
			return sentence("Hole drilled", listed("", e.Hole), e.State, with("", e.Size), e.Use, say("tool", e.Tool), say("lubricant", e.Lube), with("lost", e.Lost),
				with("LEL before", e.LEL), say("seen:", e.Seen), say("foam down:", e.Foam))
		},
		Example: HoleDrilled{Hole: []string{"C4-L"}, Size: Of[Inches](3), Use: "liquid", Tool: "air drill, hole saw", Lube: "water", Lost: Amount[Gallons]{Qual: Exactly, Best: 5, Unit: "gal", Words: "into pan"}},
		Feeds:   []string{"holes", "volume", "phases"},
	}),
	events.Declare(events.Spec[HolePlugged]{
		Version: 1, Title: "Hole plugged", Family: "drilling",
		Doc:  "A drilled hole, an opened outlet or a lid closed again, with what closed it.",
		Says: []string{"plugged", "plug in", "lid clamped", "outlet closed"},
		Fields: []events.Field[HolePlugged]{
			events.Texts("hole", "Hole", func(e *HolePlugged) *[]string { return &e.Hole }).Said("hole"),
			events.Text("by", "By", func(e *HolePlugged) *string { return &e.By }).Said("plug", "putty", "clamp", "cap"),
			events.Text("check", "Check", func(e *HolePlugged) *string { return &e.Check }).Said("holds", "dry", "weeps"),
		},
		Line: func(e HolePlugged) string {
			return sentence("Hole plugged", listed("", e.Hole), say("by", e.By), say("check:", e.Check))
		},
		Example: HolePlugged{Hole: []string{"C4-L"}, By: "tapered wood and putty"},
		Feeds:   []string{"holes", "volume"},
	}),
	events.Declare(events.Spec[OutletOpened]{
		Version: 1, Title: "Outlet opened", Family: "drilling",
		Doc:  "An outlet, lid or vent of the tank itself opened to take product out or to let air in; its closing is hole_plugged.",
		Says: []string{"outlet open", "valve open", "lid open", "vent open"},
		Fields: []events.Field[OutletOpened]{
			events.Texts("outlet", "Outlet", func(e *OutletOpened) *[]string { return &e.Outlet }).Said("outlet"),
			events.Measure("size", "Size", 0, 24, func(e *OutletOpened) *Amount[Inches] { return &e.Size }),
			events.Text("use", "Use", func(e *OutletOpened) *string { return &e.Use }).Said("liquid", "vapour", "vapor", "vent"),
			events.Measure("lost", "Lost", 0, mostGallons, func(e *OutletOpened) *Amount[Gallons] { return &e.Lost }).Said("lost"),
		},
		Line: func(e OutletOpened) string {
			return sentence("Outlet opened", listed("", e.Outlet), with("", e.Size), e.Use, with("lost", e.Lost))
		},
		Example: OutletOpened{Outlet: []string{"C1-O", "C2-O"}, Size: Of[Inches](3)},
		Feeds:   []string{"holes", "volume", "phases"},
	}),
}
