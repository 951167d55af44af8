package journal

import (
	"fmt"
	"maps"
	"slices"

	"tankside/events"
)

// chain is the log of one incident in memory: where each entry lies, not what it
// says.
type chain struct {
	incident string
	node     string // the machine whose log this is; that of its entries
	copy     *copyFile

	// With the journal's turn.
	owed   []events.Recorded // stored, but not yet in the second copy
	refuse error             // why nothing can be put behind the last entry; nil nearly always

	// Under the journal's lock; written with the turn as well.
	ids   map[events.ID]int // index in at
	at    []place           // every entry that is in both places, in order
	last  *events.Recorded  // the newest of them
	grown chan struct{}     // closed when the next entry is there
}

// place is where an entry can be read.
type place struct {
	seq   events.Seq
	span  span
	raw   []byte // its bytes when the second copy lacks them, nil otherwise
	fault string // what is wrong with its link to the entry before it
}

// newChain takes the judged log of an incident into memory.
func (j *Journal) newChain(e *evidence, v *verdict) (*chain, error) {
	c := &chain{incident: e.incident, node: j.node, ids: map[events.ID]int{}, grown: make(chan struct{}),
		copy: &copyFile{name: copyName(j.cfg.Dir, e.incident), size: e.whole}}
	if !v.sureEnd {
		c.refuse = fmt.Errorf("%w: %s: it is not known which entry is the last; %s, then log on", ErrDamaged, e.incident, repairHint(e.incident))
	}
	whole := v.picks[:len(v.picks)-len(v.behind)]
	for i, p := range whole {
		c.ids[p.id] = len(c.at)
		at := place{seq: p.seq, span: p.span, fault: linkFault(v.picks, i)}
		if !p.inCopy {
			at.raw = p.raw
		}
		c.at = append(c.at, at)
	}
	if n := len(whole); n > 0 {
		last, err := j.openPick(c, whole[n-1])
		if err != nil {
			return nil, err
		}
		c.last, c.node = &last, last.Node
	}
	for _, p := range v.behind {
		r, err := j.openPick(c, p)
		if err != nil {
			return nil, err
		}
		c.node = r.Node
		c.owed = append(c.owed, r)
	}
	return c, nil
}

// openPick reads an entry that the judge picked.
func (j *Journal) openPick(c *chain, p pick) (events.Recorded, error) {
	raw, err := p.bytesOf(c.copy.name)
	if err != nil {
		return events.Recorded{}, err
	}
	return j.cfg.Catalogue.Open(raw)
}

// linkFault says how the pick at i does not follow the one before it.
func linkFault(picks []pick, i int) string {
	prev, known := links(picks, i)
	switch {
	case known && picks[i].prev != prev:
		return fmt.Sprintf("entry %d before it has no whole version left", picks[i].seq-1)
	case known:
		return ""
	case i == 0:
		return fmt.Sprintf("%s before it are lost", entriesText(1, picks[0].seq-1))
	}
	return fmt.Sprintf("%s before it lost", entriesText(picks[i-1].seq+1, picks[i].seq-1))
}

// end is the newest entry that is stored, copied or not.
func (c *chain) end() *events.Recorded {
	if n := len(c.owed); n > 0 {
		return &c.owed[n-1]
	}
	return c.last
}

// newest is the number of the last entry, 0 where there is none.
func (c *chain) newest() events.Seq {
	if end := c.end(); end != nil {
		return end.Seq
	}
	return 0
}

// allChains is every chain there is.
func (j *Journal) allChains() []*chain {
	j.mu.RLock()
	defer j.mu.RUnlock()
	return slices.Collect(maps.Values(j.chains))
}

// completeCopies writes what the second copies lack of the store.
func (j *Journal) completeCopies() error {
	for _, c := range j.allChains() {
		if err := j.completeCopy(c); err != nil {
			return err
		}
	}
	return nil
}

// completeCopy writes the owed entries of one incident and makes them visible.
func (j *Journal) completeCopy(c *chain) error {
	if len(c.owed) == 0 {
		return nil
	}
	raws := make([][]byte, len(c.owed))
	for i := range c.owed {
		raws[i] = c.owed[i].Raw
	}
	spans, err := c.copy.append(raws)
	if err != nil {
		return fmt.Errorf("second copy: %w", err)
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	for i, r := range c.owed {
		c.ids[r.ID] = len(c.at)
		c.at = append(c.at, place{seq: r.Seq, span: spans[i]})
	}
	last := c.owed[len(c.owed)-1]
	c.last, c.owed = &last, nil
	close(c.grown)
	c.grown = make(chan struct{})
	j.unsaid += len(raws)
	return nil
}

// writeHead writes how far every incident has come.
func (j *Journal) writeHead() error {
	for _, c := range j.allChains() {
		if c.last == nil || c.refuse != nil {
			continue // an unknown end must not overwrite what the head knows
		}
		m := j.head.Incidents[c.incident]
		m.Seq, m.Hash = c.last.Seq, c.last.Hash.String()
		j.head.Incidents[c.incident] = m
	}
	j.unsaid = 0
	return j.head.write(j.cfg.Dir)
}
