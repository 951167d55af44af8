package remote

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"tankside/events"
)

// Entries go over the wire as they are stored, a line each. What the log found wrong
// with an entry beyond what its bytes show goes before it, a line each that begins
// with faultMark, which no entry does.
const faultMark = '!'

// writeEntry writes one entry.
func writeEntry(w io.Writer, c *events.Catalogue, r events.Recorded) error {
	var b bytes.Buffer
	for _, f := range extraFaults(c, r) {
		text, err := json.Marshal(f)
		if err != nil {
			return err
		}
		b.WriteByte(faultMark)
		b.Write(text)
		b.WriteByte('\n')
	}
	b.Write(r.Raw)
	b.WriteByte('\n')
	_, err := w.Write(b.Bytes())
	return err
}

// extraFaults are the faults that do not show in the bytes themselves.
func extraFaults(c *events.Catalogue, r events.Recorded) []string {
	if len(r.Faults) == 0 {
		return nil
	}
	plain, err := c.Open(r.Raw)
	if err != nil || len(plain.Faults) > len(r.Faults) {
		return r.Faults
	}
	return r.Faults[len(plain.Faults):]
}

// readEntry reads one entry; io.EOF when there is none left.
func readEntry(in *bufio.Reader, c *events.Catalogue) (events.Recorded, error) {
	var faults []string
	for {
		line, err := in.ReadBytes('\n')
		if err == io.EOF && len(line) > 0 {
			err = io.ErrUnexpectedEOF
		}
		if err != nil {
			return events.Recorded{}, err
		}
		line = line[: len(line)-1 : len(line)-1]
		if len(line) == 0 || line[0] != faultMark {
			r, err := c.Open(line)
			r.Faults = append(r.Faults, faults...)
			return r, err
		}
		var f string
		if err := json.Unmarshal(line[1:], &f); err != nil {
			return events.Recorded{}, fmt.Errorf("fault of an entry: %w", err)
		}
		faults = append(faults, f)
	}
}

// readDrafts reads the drafts of a request, a line each.
func readDrafts(in io.Reader, c *events.Catalogue) ([]events.Draft, error) {
	var out []events.Draft
	lines := bufio.NewReader(in)
	for {
		line, err := lines.ReadBytes('\n')
		if line = bytes.TrimSuffix(line, []byte("\n")); len(line) > 0 {
			d, fault := c.OpenDraft(line)
			if fault != nil {
				return nil, fmt.Errorf("draft %d: %w", len(out)+1, fault)
			}
			out = append(out, d)
		}
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
	}
}
