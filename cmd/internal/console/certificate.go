package console

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"fmt"
	"math/big"
	"net"
	"strings"
	"time"
)

// Certificate makes a certificate for this machine's addresses, good from now for the
// length of an operation, and the fingerprint by which a person can tell it. No
// authority knows it, so a browser asks once whether to trust it.
func Certificate(now time.Time, addresses []net.IP) (cert tls.Certificate, fingerprint string, err error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return cert, "", fmt.Errorf("console: certificate: %w", err)
	}
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120))
	if err != nil {
		return cert, "", fmt.Errorf("console: certificate: %w", err)
	}
	tmpl := &x509.Certificate{
		SerialNumber: serial, Subject: pkix.Name{CommonName: "tankside console"},
		NotBefore: now.Add(-24 * time.Hour), NotAfter: now.Add(7 * 24 * time.Hour), // clocks of phones differ
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		IPAddresses: addresses, DNSNames: []string{"localhost"},
	}
	der, err := x509.CreateCertificate(rand.Reader, tmpl, tmpl, key.Public(), key)
	if err != nil {
		return cert, "", fmt.Errorf("console: certificate: %w", err)
	}
	sum := sha256.Sum256(der)
	hex := strings.ToUpper(fmt.Sprintf("% x", sum[:8]))
	return tls.Certificate{Certificate: [][]byte{der}, PrivateKey: key}, hex, nil
}
