package kinds

import (
	"tankside/events"
	. "tankside/events/quantity"
)

// CustodyPassed is one change of hands of product or waste, with its papers.
type CustodyPassed struct {
	From    string
	To      string
	Product []string
	Stick   Amount[Gallons] // the stick reading it was signed on
	Weight  Amount[Pounds]
	Paper   []string
	Seal    []string
	Status  string // product or waste
	Signed  string // by whom
	Remark  string
}

// Kind returns custody_passed.
func (CustodyPassed) Kind() events.Kind { return "custody_passed" }

// DisposalNamed is the answer of a site that was asked to take a load.
type DisposalNamed struct {
	Site     string
	Accepted string // the load it takes
	Refused  string // the load it turned away
	Why      string
	Paper    []string
	Permit   string
}

// Kind returns disposal_named.
func (DisposalNamed) Kind() events.Kind { return "disposal_named" }

// PartyNamed is somebody who owns, carries, insures or answers for the load.
type PartyNamed struct {
	Party     string
	Role      string // owner, carrier, insurer, contractor …
	Rep       string // who speaks for them, by role
	Phone     string
	Accepts   string // whether they accept to pay
	Authority string // what they may order
	Insurer   string
	Ref       string // claim or policy
}

// Kind returns party_named.
func (PartyNamed) Kind() events.Kind { return "party_named" }

// The words for what a cost is for.
const (
	Personnel  = "personnel"
	Equipment  = "equipment"
	Supplies   = "supplies"
	Contractor = "contractor"
	Disposal   = "disposal"
	OtherCost  = "other"
)

// CostItem is one line of the cost record.
type CostItem struct {
	Category    string
	Item        string
	Quantity    Amount[Count]
	Hours       Amount[Minutes]
	Rate        Amount[Dollars]
	Amount      Amount[Dollars]
	Pay         string // regular or overtime
	From        events.Clock
	To          events.Clock
	Agency      string
	Invoice     string
	Recoverable string
}

// Kind returns cost_item.
func (CostItem) Kind() events.Kind { return "cost_item" }

var custodyKinds = []*events.Type{
	events.Declare(events.Spec[CustodyPassed]{
		Version: 1, Title: "Custody passed", Family: "custody",
		Doc:  "Product or waste signed over from one party to another; log it when the paper is signed, once per load.",
		Says: []string{"signed", "papers signed", "custody", "manifest"},
		Fields: []events.Field[CustodyPassed]{
			events.Text("from", "From", func(e *CustodyPassed) *string { return &e.From }),
			events.Text("to", "To", func(e *CustodyPassed) *string { return &e.To }),
			events.Texts("product", "Product", func(e *CustodyPassed) *[]string { return &e.Product }),
			events.Measure("stick", "Signed on a stick of", 0, mostGallons, func(e *CustodyPassed) *Amount[Gallons] { return &e.Stick }),
			events.Measure("weight", "Signed on a weight of", 0, 1e6, func(e *CustodyPassed) *Amount[Pounds] { return &e.Weight }),
			events.Texts("paper", "Paper", func(e *CustodyPassed) *[]string { return &e.Paper }),
			events.Texts("seal", "Seal", func(e *CustodyPassed) *[]string { return &e.Seal }),
			events.Choice("status", "Goes as", []string{"product", "waste"}, func(e *CustodyPassed) *string { return &e.Status }),
			events.Text("signed", "Signed by", func(e *CustodyPassed) *string { return &e.Signed }),
			events.Text("remark", "Remark", func(e *CustodyPassed) *string { return &e.Remark }),
		},
		Line: func(e CustodyPassed) string {
			return sentence("Custody passed", say("from", e.From), say("to", e.To), listed("", e.Product), with("on a stick of", e.Stick), with("on a weight of", e.Weight),
				listed("paper", e.Paper), listed("seal", e.Seal), say("as", e.Status), say("signed by", e.Signed), say("remark:", e.Remark))
		},
		Example: CustodyPassed{From: "cargo owner", To: "carrier of R3", Product: []string{"diesel 925 gal stick", "fuel and water 803 gal waste"}, Paper: []string{"P-0442", "waste 0443"}},
		Feeds:   []string{"custody", "trucks"},
	}),
	events.Declare(events.Spec[DisposalNamed]{
		Version: 1, Title: "Disposal named", Family: "custody",
		Doc:  "A site takes a load or turns it away, and why; log each answer.",
		Says: []string{"disposal", "turned away", "refused", "will take", "accepted"},
		Fields: []events.Field[DisposalNamed]{
			events.Text("site", "Site", func(e *DisposalNamed) *string { return &e.Site }),
			events.Text("accepted", "Accepted", func(e *DisposalNamed) *string { return &e.Accepted }),
			events.Text("refused", "Refused", func(e *DisposalNamed) *string { return &e.Refused }),
			events.Text("why", "Reason", func(e *DisposalNamed) *string { return &e.Why }),
			events.Texts("paper", "Paper", func(e *DisposalNamed) *[]string { return &e.Paper }),
			events.Text("permit", "Permit", func(e *DisposalNamed) *string { return &e.Permit }),
		},
		Line: func(e DisposalNamed) string {
			return sentence("Disposal site "+orElse(e.Site, "not said"), say("takes", e.Accepted), say("refuses", e.Refused), say("because", e.Why), listed("paper", e.Paper), say("permit", e.Permit))
		},
		Example: DisposalNamed{Site: "oil recycler", Refused: "V1", Why: "water over 30 % and no halogen test"},
		Feeds:   []string{"custody"},
	}),
	events.Declare(events.Spec[PartyNamed]{
		Version: 1, Title: "Party named", Family: "custody",
		Doc:  "Who owns, carries, insures or answers for the load, who speaks for them and what they accept.",
		Says: []string{"owner", "carrier", "insurer", "responsible party", "contractor"},
		Fields: []events.Field[PartyNamed]{
			events.Text("party", "Party", func(e *PartyNamed) *string { return &e.Party }),
			events.Text("role", "Role", func(e *PartyNamed) *string { return &e.Role }),
			events.Text("rep", "Spoken for by", func(e *PartyNamed) *string { return &e.Rep }),
			events.Text("phone", "Phone", func(e *PartyNamed) *string { return &e.Phone }),
			events.Text("accepts", "Accepts the cost", func(e *PartyNamed) *string { return &e.Accepts }),
			events.Text("authority", "May order", func(e *PartyNamed) *string { return &e.Authority }),
			events.Text("insurer", "Insurer", func(e *PartyNamed) *string { return &e.Insurer }),
			events.Text("ref", "Claim or policy", func(e *PartyNamed) *string { return &e.Ref }),
		},
		Line: func(e PartyNamed) string {
			return sentence("Party named", e.Party, say("as", e.Role), say("spoken for by", e.Rep), say("phone", e.Phone), say("accepts the cost:", e.Accepts),
				say("may order", e.Authority), say("insurer", e.Insurer), say("claim or policy", e.Ref))
		},
		Example: PartyNamed{Party: "cargo owner", Role: "responsible party", Rep: "terminal manager", Accepts: "yes"},
		Feeds:   []string{"custody"},
	}),
	events.Declare(events.Spec[CostItem]{
		Version: 1, Title: "Cost item", Family: "custody",
		Doc:  "One line of the cost record: people, equipment, supplies or a contractor, with time, rate and paper.",
		Says: []string{"cost", "invoice", "bill for"},
		Fields: []events.Field[CostItem]{
			events.Choice("category", "Category", []string{Personnel, Equipment, Supplies, Contractor, Disposal, OtherCost}, func(e *CostItem) *string { return &e.Category }),
			events.Text("item", "Item", func(e *CostItem) *string { return &e.Item }),
			events.Measure("quantity", "Quantity", 0, 1e7, func(e *CostItem) *Amount[Count] { return &e.Quantity }).Note("What is counted follows the number: 6 drums."),
			events.Measure("hours", "Time", 0, 1e6, func(e *CostItem) *Amount[Minutes] { return &e.Hours }).Note("Say the unit: 8 h."),
			events.Measure("rate", "Rate", 0, 1e7, func(e *CostItem) *Amount[Dollars] { return &e.Rate }).Note("Per what follows the unit: 45 USD per h."),
			events.Measure("amount", "Amount", -1e9, 1e9, func(e *CostItem) *Amount[Dollars] { return &e.Amount }).Note("Negative for a credit."),
			events.Choice("pay", "Pay", []string{"regular", "overtime"}, func(e *CostItem) *string { return &e.Pay }),
			events.ClockTime("from", "From", func(e *CostItem) *events.Clock { return &e.From }),
			events.ClockTime("to", "To", func(e *CostItem) *events.Clock { return &e.To }),
			events.Text("agency", "Agency", func(e *CostItem) *string { return &e.Agency }),
			events.Text("invoice", "Invoice", func(e *CostItem) *string { return &e.Invoice }),
			events.Text("recoverable", "Recoverable", func(e *CostItem) *string { return &e.Recoverable }),
		},
		Line: func(e CostItem) string {
			return sentence("Cost item", e.Category, e.Item, with("", e.Quantity), with("for", e.Hours), with("at", e.Rate), with("amount", e.Amount), say("pay", e.Pay),
				say("from", string(e.From)), say("to", string(e.To)), say("agency", e.Agency), say("invoice", e.Invoice), say("recoverable:", e.Recoverable))
		},
		Example: CostItem{Category: Supplies, Item: "foam concentrate", Quantity: worded(Of[Count](4), "pails"), Amount: Of[Dollars](620), Recoverable: "yes"},
		Feeds:   []string{"resources"},
	}),
}
