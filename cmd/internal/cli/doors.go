package cli

import (
	"cmp"
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"net/http"
	"time"

	"tankside/cmd/internal/console"
)

// lanPort is the port for other machines, where it is free.
const lanPort = "8443"

// doors are the addresses at which a console is served: one for this machine and, where
// it was asked for, one for the network.
type doors struct {
	here net.Listener
	lan  net.Listener // nil where no other machine may come
	ips  []net.IP     // of this machine in the network
	cert string       // fingerprint of the certificate for the network
}

// doors takes the addresses to serve on.
func (o *serving) doors(last addressed, now time.Time) (*doors, error) {
	here, err := o.door(last.Port)
	if err != nil {
		return nil, err
	}
	d := &doors{here: here}
	if o.lan {
		if err := d.openLAN(cmp.Or(last.LAN, lanPort), now); err != nil {
			return nil, errors.Join(err, here.Close())
		}
	}
	return d, nil
}

// door takes an address on loopback: the one that was asked for, or the port that the
// console of this incident had last, so that a page which is still open finds it again.
func (o *serving) door(last string) (net.Listener, error) {
	if o.listen == "" {
		if last != "" {
			if l, err := net.Listen("tcp", net.JoinHostPort("127.0.0.1", last)); err == nil {
				return l, nil
			}
		}
		l, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			return nil, fmt.Errorf("listen for the console: %w", err)
		}
		return l, nil
	}
	host, _, err := net.SplitHostPort(o.listen)
	if err != nil {
		return nil, usage("--listen: %w; give it as 127.0.0.1:8080", err)
	}
	if ip := net.ParseIP(host); ip == nil || !ip.IsLoopback() {
		return nil, usage("--listen: %q is not an address of this machine alone; use 127.0.0.1, and --lan to let other machines in", host)
	}
	l, err := net.Listen("tcp", o.listen)
	if err != nil {
		return nil, usage("--listen: %w; another port, or 0 for a free one, will do", err)
	}
	return l, nil
}

// openLAN takes a port on all addresses of this machine, another where that one is not
// free, with a certificate made now.
func (d *doors) openLAN(port string, now time.Time) error {
	addrs, err := net.InterfaceAddrs()
	if err != nil {
		return fmt.Errorf("--lan: addresses of this machine: %w", err)
	}
	for _, a := range addrs {
		if n, ok := a.(*net.IPNet); ok && !n.IP.IsLoopback() && !n.IP.IsLinkLocalUnicast() {
			d.ips = append(d.ips, n.IP)
		}
	}
	if len(d.ips) == 0 {
		return usage("--lan: this machine is in no network; connect it, or leave --lan out")
	}
	cert, print, err := console.Certificate(now, d.ips)
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp", ":"+port)
	if err != nil {
		if l, err = net.Listen("tcp", ":0"); err != nil {
			return fmt.Errorf("--lan: %w", err)
		}
	}
	d.cert = print
	d.lan = tls.NewListener(l, &tls.Config{Certificates: []tls.Certificate{cert}, MinVersion: tls.VersionTLS13})
	return nil
}

// hosts are the names by which the pages may be asked for.
func (d *doors) hosts() []string {
	out := []string{d.here.Addr().String(), net.JoinHostPort("localhost", portOf(d.here))}
	if d.lan != nil {
		for _, ip := range d.ips {
			out = append(out, d.lanHost(ip))
		}
	}
	return out
}

func (d *doors) lanHost(ip net.IP) string { return net.JoinHostPort(ip.String(), portOf(d.lan)) }

// told says where other machines find the console, "" where they may not come.
func (d *doors) told() string {
	if d.lan == nil {
		return ""
	}
	text := "Other machines of the scene find it at"
	for _, ip := range d.ips {
		text += " https://" + d.lanHost(ip) + "/"
	}
	return text + "\nTheir browser asks once whether to trust it: the certificate begins " + d.cert + ".\nThe code to pair them stands on the scribe's screen.\n"
}

// serve answers at every door until ctx ends.
func (d *doors) serve(ctx context.Context, server func() *http.Server) error {
	at := func(l net.Listener) func(context.Context) error {
		return func(ctx context.Context) error {
			s := server()
			return console.Serve(ctx, s, func() error { return s.Serve(l) })
		}
	}
	if d.lan == nil {
		return at(d.here)(ctx)
	}
	return together(ctx, at(d.here), at(d.lan))
}

// close closes the doors; one that a server has closed already is no fault.
func (d *doors) close() error {
	err := shut(d.here)
	if d.lan != nil {
		err = errors.Join(err, shut(d.lan))
	}
	return err
}

func shut(l net.Listener) error {
	if err := l.Close(); err != nil && !errors.Is(err, net.ErrClosed) {
		return err
	}
	return nil
}
