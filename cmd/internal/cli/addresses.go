package cli

import (
	"encoding/json"
	"errors"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// addresses are where the consoles of a data folder were served last, by incident: a page
// that is still open finds its own again, and what was served is served again.
type addresses map[string]addressed

// addressed is how the console of an incident was served.
type addressed struct {
	Port   string `json:"port"`          // on loopback
	LAN    string `json:"lan,omitempty"` // port for other machines; "" where none might come
	Scribe string `json:"scribe,omitempty"`
	Open   int    `json:"open,omitempty"` // its place among those that were being served; 0 where it was not
}

// addressesFile is where they are kept.
func addressesFile(dir string) string { return filepath.Join(dir, "consoles.json") }

// draftsFile is where the half-typed lines of an incident are kept.
func draftsFile(dir string, inc *incident) string {
	return filepath.Join(dir, "console-"+inc.id+".json")
}

// readAddresses reads them; a file that cannot be read is none.
func readAddresses(dir string) addresses {
	a := addresses{}
	text, err := os.ReadFile(addressesFile(dir))
	if err != nil || json.Unmarshal(text, &a) != nil || a == nil {
		return addresses{}
	}
	return a
}

// of is how an incident was served last.
func (a addresses) of(id string) addressed { return a[id] }

// keep notes how an incident is served, and whether it is to be served at the next start.
func (a addresses) keep(dir string, inc *incident, o serving, d *doors, again bool) error {
	n := addressed{Port: portOf(d.here), Scribe: o.scribe}
	if d.lan != nil {
		n.LAN = portOf(d.lan)
	}
	if again {
		if n.Open = a[inc.id].Open; n.Open == 0 {
			n.Open = 1
			for _, o := range a {
				n.Open = max(n.Open, o.Open+1)
			}
		}
	}
	a[inc.id] = n
	return a.write(dir)
}

// close notes that an incident is no longer served.
func (a addresses) close(dir, id string) error {
	n := a[id]
	n.Open = 0
	a[id] = n
	return a.write(dir)
}

// open lists the incidents that were being served, in the order in which they were opened.
func (a addresses) open() (ids []string) {
	for id, n := range a {
		if n.Open > 0 {
			ids = append(ids, id)
		}
	}
	slices.SortFunc(ids, func(x, y string) int {
		if d := a[x].Open - a[y].Open; d != 0 {
			return d
		}
		return strings.Compare(x, y)
	})
	return ids
}

// write puts them in the place of those of before, so that a power cut leaves the one or
// the other.
func (a addresses) write(dir string) error {
	text, err := json.MarshalIndent(a, "", "  ")
	if err != nil {
		return err
	}
	f, err := os.OpenFile(addressesFile(dir)+".new", os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(append(text, '\n'))
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return err
	}
	return os.Rename(addressesFile(dir)+".new", addressesFile(dir))
}

// portOf is the port of a listener.
func portOf(l net.Listener) string {
	_, port, _ := net.SplitHostPort(l.Addr().String())
	return port
}
