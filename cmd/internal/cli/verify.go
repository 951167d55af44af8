package cli

import (
	"context"
	"crypto/ed25519"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"github.com/spf13/cobra"

	"tankside/events"
	"tankside/events/archive"
	"tankside/events/journal"
)

// verifyCommand checks the log, or a sealed archive.
func (a *App) verifyCommand(s *settings) *cobra.Command {
	var repair bool
	var key string
	cmd := &cobra.Command{
		Use:   "verify [FILE]",
		Short: "Check the log, a sealed archive or a signed report, and change nothing",
		Long: `Check both copies of every log of the data folder, entry by entry, and the chain
through them; name each entry where something differs. Nothing is changed.

--repair brings both copies to what can be borne out of the two together. What is
replaced is kept aside, and it is said where.

With FILE a sealed archive or a signed report is checked, without a data folder. Of a
report it says "same as signed" or "not the same as signed"; where the log it was made
from is here too, what came in since the signature is named.

Exit 0: nothing is damaged. Exit 1: something is, and it is named.`,
		Args: atMost(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case len(args) == 1 && repair:
				return usage("a file is not repaired; export it again from the log it was sealed from")
			case len(args) == 1:
				return a.verifyFile(cmd, s, args[0], key)
			case repair:
				if err := a.repair(cmd, s); err != nil {
					return err
				}
			}
			return a.verifyLog(cmd, s)
		},
	}
	cmd.Flags().BoolVar(&repair, "repair", false, "repair what is damaged, in --incident or everywhere")
	addKeyFlag(cmd, &key)
	return cmd
}

// addKeyFlag adds the flag by which an archive's key is compared.
func addKeyFlag(cmd *cobra.Command, key *string) {
	cmd.Flags().StringVar(key, "key", "", "`key` the archive has to be sealed with, 64 hexadecimal digits")
}

// verifyLog checks the logs of the data folder.
func (a *App) verifyLog(cmd *cobra.Command, s *settings) error {
	dir, err := s.dir()
	if err != nil {
		return err
	}
	r, err := a.verify(cmd.Context(), dir)
	if err != nil {
		return err
	}
	if name := s.v.GetString(flagIncident); name != "" {
		if r, err = only(r, name); err != nil {
			return err
		}
	}
	if asJSON(cmd) {
		err = a.printJSON(verdictOf(r))
	} else {
		err = a.printVerdict(r)
	}
	if err == nil && !r.OK() {
		err = errTold{1}
	}
	return err
}

// verify looks at a data folder, or has the process that serves it look.
func (a *App) verify(ctx context.Context, dir string) (journal.Report, error) {
	r, err := journal.Verify(ctx, journal.Config{Dir: dir, Now: a.Now, Catalogue: a.catalogue})
	if !errors.Is(err, journal.ErrLocked) {
		return r, err
	}
	ss, err := a.reach(ctx, dir, err)
	if err != nil {
		return r, err
	}
	r, err = ss.Verify(ctx)
	return r, errors.Join(err, ss.Close())
}

// only leaves in r what concerns one incident and the folder as a whole.
func only(r journal.Report, name string) (journal.Report, error) {
	id := events.IncidentID(name)
	var out journal.Report
	var names []string
	for _, l := range r.Logs {
		names = append(names, l.Incident)
		if l.Incident == id {
			out.Logs = append(out.Logs, l)
		}
	}
	if len(out.Logs) == 0 {
		return out, usage("no incident %q here; %s", name, here(names))
	}
	for _, f := range r.Findings {
		if f.Incident == "" || f.Incident == id {
			out.Findings = append(out.Findings, f)
		}
	}
	return out, nil
}

func (a *App) printVerdict(r journal.Report) error {
	damaged := map[string]bool{}
	for _, name := range journal.Damaged(r.Findings) {
		damaged[name] = true
	}
	for _, l := range r.Logs {
		text := "whole, and the same in both places"
		if damaged[l.Incident] {
			text = "DAMAGED"
		}
		fmt.Fprintf(a.Out, "%s: %d entries: %s\n", l.Incident, l.Entries, text)
		if l.Entries > 0 {
			fmt.Fprintf(a.Out, "  entry %d is %v\n", l.Last, l.Head)
		}
	}
	if len(r.Logs) == 0 {
		fmt.Fprintln(a.Out, "no entries yet")
	}
	for _, f := range r.Findings {
		if _, err := fmt.Fprintln(a.Out, "  "+f.String()); err != nil {
			return err
		}
	}
	return nil
}

// verdict is what a check found, as data.
type verdict struct {
	OK       bool      `json:"ok"`
	Logs     []logInfo `json:"logs"`
	Findings []finding `json:"findings"`
}

type logInfo struct {
	Incident string     `json:"incident"`
	Entries  int        `json:"entries"`
	Last     events.Seq `json:"last"`
	Head     string     `json:"head"`
}

type finding struct {
	Incident string        `json:"incident,omitempty"`
	From     events.Seq    `json:"from,omitempty"`
	To       events.Seq    `json:"to,omitempty"`
	Place    journal.Place `json:"place"`
	What     string        `json:"what"`
	Fix      string        `json:"fix,omitempty"`
	Damage   bool          `json:"damage"`
}

func verdictOf(r journal.Report) verdict {
	v := verdict{OK: r.OK(), Logs: []logInfo{}, Findings: []finding{}}
	for _, l := range r.Logs {
		v.Logs = append(v.Logs, logInfo{l.Incident, l.Entries, l.Last, l.Head.String()})
	}
	for _, f := range r.Findings {
		v.Findings = append(v.Findings, finding{f.Incident, f.From, f.To, f.Place, f.What, f.Fix, !f.Note})
	}
	return v
}

// repair repairs the incident that is asked for, or every damaged one.
func (a *App) repair(cmd *cobra.Command, s *settings) error {
	return a.with(cmd.Context(), s, false, func(ss *session) error {
		j, err := ss.own("a repair")
		if err != nil {
			return err
		}
		todo := journal.Damaged(j.Findings())
		for _, f := range ss.Findings() {
			if f.Incident == "" && !f.Note {
				todo = ss.Incidents() // the store as a whole: every log has to be put back into it
			}
		}
		if name := s.v.GetString(flagIncident); name != "" {
			todo = []string{events.IncidentID(name)}
		}
		for _, id := range todo {
			did, err := j.Repair(cmd.Context(), id)
			for _, f := range did {
				fmt.Fprintln(a.Err, "tankside: "+f.String())
			}
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// openArchive reads and checks an archive.
func (a *App) openArchive(name, key string) (*archive.Archive, error) {
	if info, err := os.Stat(name); err == nil && info.IsDir() {
		if name, err = openBag(name); err != nil {
			return nil, err
		}
	}
	data, err := a.readWhole(name)
	if err != nil {
		return nil, err
	}
	return a.checkArchive(name, data, key)
}

// trusted reads the key that a file has to be sealed or signed with, nil for any.
func trusted(key string) (ed25519.PublicKey, error) {
	if key == "" {
		return nil, nil
	}
	b, err := hex.DecodeString(key)
	if err != nil || len(b) != ed25519.PublicKeySize {
		return nil, usage("--key: %q is no key; it has 64 hexadecimal digits, as verify prints it", key)
	}
	return b, nil
}

func (a *App) checkArchive(name string, data []byte, key string) (*archive.Archive, error) {
	trust, err := trusted(key)
	if err != nil {
		return nil, err
	}
	ar, err := archive.Open(data, a.catalogue, trust)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return ar, nil
}

// readWhole reads a file, "-" being standard input.
func (a *App) readWhole(name string) ([]byte, error) {
	if name == "-" {
		return io.ReadAll(a.In)
	}
	data, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, usage("no file %s; check the name", name)
	}
	if err != nil {
		return nil, userError{err}
	}
	return data, nil
}

// verifyFile checks a signed report or a sealed archive, whichever the file is.
func (a *App) verifyFile(cmd *cobra.Command, s *settings, name, key string) error {
	if info, err := os.Stat(name); err == nil && info.IsDir() { // a bag: its log, and the sum of each file
		if name, err = openBag(name); err != nil {
			return err
		}
	}
	data, err := a.readWhole(name)
	if err != nil {
		return err
	}
	if isReport(name, data) {
		return a.verifyReport(cmd, s, name, data, key)
	}
	return a.verifyArchive(cmd, name, data, key)
}

// verifyArchive checks a sealed archive.
func (a *App) verifyArchive(cmd *cobra.Command, name string, data []byte, key string) error {
	ar, err := a.checkArchive(name, data, key)
	if err != nil {
		return err
	}
	m := ar.Manifest
	if asJSON(cmd) {
		return a.printJSON(map[string]any{"ok": true, "incident": m.Incident, "node": m.Node, "entries": m.Entries, "head": m.Head, "more": len(ar.More),
			"tool": m.Tool, "faults": append([]string{}, m.Faults...), "key": hex.EncodeToString(ar.Key)})
	}
	fmt.Fprintf(a.Out, "%s: %s: %d entries, as they were sealed by %s\n", name, m.Incident, m.Entries, m.Tool)
	if n := len(ar.More); n > 0 {
		fmt.Fprintf(a.Out, "  and %d more files, as they were sealed\n", n)
	}
	for _, f := range m.Faults {
		fmt.Fprintf(a.Out, "  the log had this fault when it was sealed: %s\n", f)
	}
	_, err = fmt.Fprintf(a.Out, "  last entry %s\n  key        %x\n", m.Head, []byte(ar.Key))
	return err
}
