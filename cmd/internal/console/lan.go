package console

import "net/http"

// Pairing lets other machines in.
type Pairing struct{}

// Code is by which another machine is paired.
func (p *Pairing) Code() string { return "" }

func (p *Pairing) role(*http.Request) string { return "" }

func (c *Console) admits(http.ResponseWriter, *http.Request) bool { return true }

func (c *Console) pairPage(http.ResponseWriter, *http.Request) {}

func (c *Console) pair(http.ResponseWriter, *http.Request) {}
