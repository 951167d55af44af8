package projections

import (
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// Custody is who has the product, on which paper, and where it is to go.
type Custody struct {
	Chains  []*Chain
	Parties []Party
	Samples []Sample

	byLoad map[string]*Chain
}

// Chain is the custody of one load: a truck with all that is in it.
type Chain struct {
	Load     string     `json:"load"` // R1, V1
	Passes   []Pass     `json:"passes"`
	Sites    []Site     `json:"sites"`    // that took or turned away the load
	Unplaced []Interval `json:"unplaced"` // turned away, and no other site named yet
}

// Pass is one handing over, signed on paper.
type Pass struct {
	At      Moment   `json:"at"`
	From    string   `json:"from"`
	To      string   `json:"to"`
	Product []string `json:"product"`
	Stick   Figure   `json:"stick"`
	Weight  Figure   `json:"weight"`
	Paper   []string `json:"paper"`
	Status  string   `json:"status,omitempty"`
	Remark  string   `json:"remark,omitempty"`
	Odd     string   `json:"odd,omitempty"` // what does not fit the chain
}

// Site is a place of disposal that was asked to take a load.
type Site struct {
	At      Moment   `json:"at"`
	Site    string   `json:"site"`
	Refused bool     `json:"refused"`
	Why     string   `json:"why,omitempty"`
	Paper   []string `json:"paper"`
}

// Party is an owner, carrier, insurer or contractor that made itself known.
type Party struct {
	At        Moment `json:"at"`
	Name      string `json:"party"`
	Role      string `json:"role,omitempty"`
	Rep       string `json:"rep,omitempty"`
	Accepts   string `json:"accepts,omitempty"`
	Authority string `json:"authority,omitempty"`
	Insurer   string `json:"insurer,omitempty"`
	Ref       string `json:"ref,omitempty"`
}

// Sample is a sample and who has it.
type Sample struct {
	At     Moment `json:"at"`
	Sample string `json:"sample"`
	Of     string `json:"of"`
	To     string `json:"to,omitempty"`
	Seal   string `json:"seal,omitempty"`
	Held   string `json:"held,omitempty"`
}

// Apply folds one live entry.
func (c *Custody) Apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.CustodyPassed:
		c.chain(e.Where).pass(e, k)
	case kinds.DisposalNamed:
		c.site(e, k)
	case kinds.PartyNamed:
		c.Parties = append(c.Parties, Party{MomentOf(e), k.Party, k.Role, k.Rep, k.Accepts, k.Authority, k.Insurer, k.Ref})
	case kinds.SampleTaken:
		c.Samples = append(c.Samples, Sample{MomentOf(e), k.Sample, orElse(k.Of, e.Where), k.To, k.Seal, k.Held})
	}
}

func (c *Custody) chain(load string) *Chain {
	if ch := c.byLoad[load]; ch != nil {
		return ch
	}
	if c.byLoad == nil {
		c.byLoad = map[string]*Chain{}
	}
	ch := &Chain{Load: load}
	c.Chains, c.byLoad[load] = append(c.Chains, ch), ch
	return ch
}

func (ch *Chain) pass(e *events.Entry, k kinds.CustodyPassed) {
	p := Pass{MomentOf(e), k.From, k.To, list(k.Product), FigureOf(k.Stick, "as signed", e.Seq), FigureOf(k.Weight, "as signed", e.Seq), list(k.Paper), k.Status, k.Remark, ""}
	if n := len(ch.Passes); n > 0 && ch.Passes[n-1].To != k.From {
		p.Odd = "passed by " + k.From + ", but " + ch.Passes[n-1].To + " had it last"
	}
	ch.Passes = append(ch.Passes, p)
	ch.placed(e)
}

// placed closes a stretch in which no site would take the load.
func (ch *Chain) placed(e *events.Entry) {
	if n := len(ch.Unplaced); n > 0 && ch.Unplaced[n-1].End.IsZero() {
		ch.Unplaced[n-1].End = MomentOf(e)
	}
}

func (c *Custody) site(e *events.Entry, k kinds.DisposalNamed) {
	load, refused := k.Accepted, false
	if load == "" {
		load, refused = k.Refused, k.Refused != ""
	}
	ch := c.chain(load) // "" when no load was named
	ch.Sites = append(ch.Sites, Site{MomentOf(e), orElse(k.Site, e.Where), refused, k.Why, list(k.Paper)})
	if refused {
		ch.Unplaced = append(ch.Unplaced, Interval{Start: MomentOf(e)})
	} else {
		ch.placed(e)
	}
}

// Holder returns who has a load at t, by the last paper signed until then; "" when
// none was.
func (ch *Chain) Holder(t time.Time) (holder string) {
	for _, p := range ch.Passes {
		if !p.At.Best.After(t) {
			holder = p.To
		}
	}
	return holder
}

// Owners returns everyone who had the load, from the first to the last.
func (ch *Chain) Owners() (out []string) {
	for i, p := range ch.Passes {
		if i == 0 || ch.Passes[i-1].To != p.From {
			out = append(out, p.From)
		}
		out = append(out, p.To)
	}
	return out
}

// CustodyState is the custody as the JSON shows it.
type CustodyState struct {
	Chains  []Chain  `json:"chains"`
	Parties []Party  `json:"parties"`
	Samples []Sample `json:"samples"`
}

// State returns the custody of every load.
func (c *Custody) State() CustodyState {
	s := CustodyState{Chains: []Chain{}, Parties: list(c.Parties), Samples: list(c.Samples)}
	for _, ch := range c.Chains {
		s.Chains = append(s.Chains, Chain{ch.Load, list(ch.Passes), list(ch.Sites), list(ch.Unplaced)})
	}
	return s
}
