package console

import (
	"context"
	"fmt"
	"net"
	"net/http/httptest"
	"testing"

	"tankside/cmd/internal/browser"
)

// TestPairInBrowser types the code into the form of the pairing page, as a phone does: the
// guard has to take the post for one of its own page.
func TestPairInBrowser(t *testing.T) {
	c := lanConsole(NewPairing())
	s := httptest.NewUnstartedServer(nil)
	ctx, stop := context.WithCancel(t.Context())
	s.Config.BaseContext = func(net.Listener) context.Context { return ctx } // feeds end with it
	c.cfg.Hosts = append(c.cfg.Hosts, s.Listener.Addr().String())
	s.Config.Handler = c.Handler()
	s.Start()
	t.Cleanup(func() { stop(); s.CloseClientConnections(); s.Close() })
	phone := browser.Open(t, s.URL+"/pair", browser.Phone)
	code := c.cfg.Pairing.Code()
	for selector, text := range map[string]string{"[name=code]": code, "[name=role]": "Foam leader"} {
		browser.Eval[bool](phone, fmt.Sprintf(`(document.querySelector(%q).focus(), true)`, selector))
		phone.Type(text)
	}
	phone.Press("Enter")
	phone.Wait(`location.pathname === "/" && document.getElementById("line") !== null`)
	if c.cfg.Pairing.Code() == code {
		t.Error("the code was not used up: nobody was paired")
	}
}
