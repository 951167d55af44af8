package remote

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/journal"
)

// answerTime is how long the other process may take for a short answer.
const answerTime = 5 * time.Second

// patience is how long an answer may take before it is told that nothing is saved yet.
const patience = 2 * time.Second

// Client is a data folder that another process serves.
type Client struct {
	dir       string
	addr      address
	about     about
	catalogue *events.Catalogue
	onTrouble func(journal.Trouble)
	http      *http.Client
}

// Dial reaches the process that serves dir. onTrouble, which may be nil, is told when
// an entry is not saved yet. It returns ErrNotServed when the folder is held by a
// process that does not serve it, or by none.
func Dial(ctx context.Context, dir string, c *events.Catalogue, onTrouble func(journal.Trouble)) (*Client, error) {
	addr, err := readAddress(dir)
	if err != nil {
		return nil, err
	}
	cl := &Client{dir: dir, addr: addr, catalogue: c, onTrouble: onTrouble, http: &http.Client{Transport: &http.Transport{}}} // no proxy
	ctx, cancel := context.WithTimeout(ctx, answerTime)
	defer cancel()
	if err := cl.fetch(ctx, "/folder", &cl.about); err != nil {
		return nil, errors.Join(fmt.Errorf("remote: process %d serves %s but does not answer: %w", addr.PID, dir, err), cl.Close())
	}
	return cl, nil
}

// Now is the hour at the incidents, as the process that serves them had it when it was
// reached. While a demonstration plays that is not the hour of this machine.
func (c *Client) Now() time.Time { return c.about.Now }

// Dir is the data folder.
func (c *Client) Dir() string { return c.dir }

// Incidents returns the identifiers of the incidents that had entries when the
// process was reached.
func (c *Client) Incidents() []string { return slices.Clone(c.about.Incidents) }

// Findings is what had differed when the folder was opened, or was noticed until this
// process was reached.
func (c *Client) Findings() []journal.Finding { return slices.Clone(c.about.Findings) }

// PublicKey is the key by which archives sealed there are known.
func (c *Client) PublicKey() (ed25519.PublicKey, error) {
	ctx, cancel := context.WithTimeout(context.Background(), answerTime)
	defer cancel()
	var key []byte
	err := c.fetch(ctx, "/key", &key)
	return key, err
}

// Sign has a message signed with that key.
func (c *Client) Sign(message []byte) ([]byte, error) {
	ctx, cancel := context.WithTimeout(context.Background(), answerTime)
	defer cancel()
	resp, err := c.ask(ctx, http.MethodPost, "/sign", message)
	if err != nil {
		return nil, err
	}
	defer resp.Body.Close()
	var sig []byte
	err = json.NewDecoder(resp.Body).Decode(&sig)
	return sig, err
}

// Close lets go of the connection; the other process goes on.
func (c *Client) Close() error {
	c.http.CloseIdleConnections()
	return nil
}

// Verify has the other process look at both copies of every log.
func (c *Client) Verify(ctx context.Context) (r journal.Report, err error) {
	err = c.fetch(ctx, "/verify", &r)
	return r, err
}

// Log returns the log of an incident by its name or identifier.
func (c *Client) Log(incident string) (events.Log, error) {
	id := events.IncidentID(incident)
	if id == "" {
		return nil, fmt.Errorf("remote: incident %q has no letter or digit to name it by", incident)
	}
	return &incidentLog{c, id}, nil
}

// fetch reads an answer that is data.
func (c *Client) fetch(ctx context.Context, path string, into any) error {
	resp, err := c.ask(ctx, http.MethodGet, path, nil)
	if err != nil {
		return err
	}
	defer resp.Body.Close()
	return json.NewDecoder(resp.Body).Decode(into)
}

// ask sends one request; an answer that refuses is an error.
func (c *Client) ask(ctx context.Context, method, path string, body []byte) (*http.Response, error) {
	req, err := http.NewRequestWithContext(ctx, method, "http://"+c.addr.Host+path, bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	req.Header.Set("Authorization", "Bearer "+c.addr.Token)
	resp, err := c.http.Do(req)
	if err != nil || resp.StatusCode == http.StatusOK {
		return resp, err
	}
	defer resp.Body.Close()
	text, _ := io.ReadAll(io.LimitReader(resp.Body, 1<<20)) // as much as came will do
	return nil, refused(resp.Header.Get(refusedHeader), strings.TrimSpace(string(text)))
}
