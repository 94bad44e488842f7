package handlers

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"fmt"
	"io"
	"math/big"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"
)

// A server that is told to stop answers what it has begun, and what it
// acknowledged is recorded.
func TestStoppingDrains(t *testing.T) {
	y := newYard(t, func(o *Options) { o.ReadsPerSecond = -1 })
	gate := y.station("GATE")
	before := y.recorded()
	server, err := New(Options{Store: y.store, ReadsPerSecond: -1})
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(ctx, l, nil) }()
	var senders sync.WaitGroup
	var mu sync.Mutex
	acknowledged := 0
	for i := range 8 {
		senders.Go(func() {
			for n := range 500 {
				r, _ := http.NewRequest(http.MethodPost, "http://"+l.Addr().String()+"/api/reads", strings.NewReader(readText(i*1000+n, "X")))
				r.Header.Set("Authorization", "Bearer "+gate.key)
				answer, err := http.DefaultClient.Do(r)
				if err != nil {
					return
				}
				answer.Body.Close()
				if answer.StatusCode == http.StatusOK {
					mu.Lock()
					acknowledged++
					mu.Unlock()
				}
			}
		})
	}
	time.Sleep(300 * time.Millisecond)
	stop()
	if err := <-ended; err != nil {
		t.Errorf("stopping gave %v", err)
	}
	senders.Wait()
	if got := y.recorded() - before; got < int64(acknowledged) || acknowledged == 0 {
		t.Errorf("%d reads were acknowledged, %d recorded", acknowledged, got)
	}
}

func TestTLS(t *testing.T) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	form := &x509.Certificate{SerialNumber: big.NewInt(1), NotAfter: time.Now().Add(time.Hour), IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}}
	der, err := x509.CreateCertificate(rand.Reader, form, form, key.Public(), key)
	if err != nil {
		t.Fatal(err)
	}
	y := newYard(t)
	server, err := New(Options{Store: y.store, Secure: true})
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() {
		ended <- server.Serve(ctx, l, &tls.Certificate{Certificate: [][]byte{der}, PrivateKey: key})
	}()
	pool := x509.NewCertPool()
	leaf, _ := x509.ParseCertificate(der)
	pool.AddCert(leaf)
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}}}
	answer, err := client.Get("https://" + l.Addr().String() + "/healthz")
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != http.StatusOK || answer.Header.Get("Strict-Transport-Security") == "" {
		t.Errorf("over TLS: %d %v", answer.StatusCode, answer.Header)
	}
	client.CloseIdleConnections()
	stop()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}

// Where a request came from is the proxy's word only where there is one.
func TestSource(t *testing.T) {
	for _, c := range []struct {
		proxy           bool
		remote, forward string
		want            string
	}{
		{false, "192.0.2.1:5", "198.51.100.1", "192.0.2.1"},
		{true, "127.0.0.1:5", "198.51.100.1", "198.51.100.1"},
		{true, "127.0.0.1:5", "203.0.113.9, 198.51.100.1", "198.51.100.1"},
		{true, "127.0.0.1:5", "", "127.0.0.1"},
		{true, "127.0.0.1:5", "<script>", "unknown"},
		{false, "[2001:db8:1:2:3::4]:5", "", "2001:db8:1:2::/64"},
		{false, "[::ffff:192.0.2.1]:5", "", "192.0.2.1"},
		{false, "[fe80::1%eth0]:5", "", "fe80::/64"},
		{false, "@", "", "unknown"},
	} {
		r := httptest.NewRequest(http.MethodGet, "/", nil)
		r.RemoteAddr = c.remote
		if c.forward != "" {
			r.Header.Set("X-Forwarded-For", c.forward)
		}
		if got := (&Server{proxy: c.proxy}).source(r); got != c.want {
			t.Errorf("%+v gave %s", c, got)
		}
	}
}

// Limits forget who was not heard of, so that they stay small.
func TestLimitsForget(t *testing.T) {
	now := time.Now()
	l := newLimits(func() time.Time { return now }, 0)
	for i := range 3 * mostCallers {
		if err := l.take(ratePage, fmt.Sprint(i)); err != nil {
			t.Fatal(err)
		}
	}
	if len(l.held) > mostCallers {
		t.Errorf("%d callers are kept", len(l.held))
	}
	now = now.Add(2 * forgetAfter)
	if err := l.take(ratePage, "one"); err != nil || len(l.held) != 1 {
		t.Errorf("%d callers are kept after a while, %v", len(l.held), err)
	}
	refused := 0
	for range 100 {
		if l.take(ratePage, "one") != nil {
			refused++
		}
	}
	if refused < 30 {
		t.Errorf("only %d of 100 at once were refused", refused)
	}
}

// A client that sends its request a byte at a time is cut off, and holds
// nobody else up meanwhile. The limits are shortened, so that the test is not slow.
func TestSlowClientsAreCutOff(t *testing.T) {
	y := newYard(t)
	server, err := New(Options{Store: y.store})
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	short := &http.Server{Handler: server.Handler(), ReadHeaderTimeout: 300 * time.Millisecond, ReadTimeout: 600 * time.Millisecond}
	go func() { ended <- server.serve(ctx, l, nil, short) }()
	for name, begun := range map[string]string{
		"a header":  "GET /healthz HTTP/1.1\r\nHost: x\r\nX-Slow: ",
		"its body":  "POST /api/reads HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 1000\r\n\r\n[",
		"no letter": "",
	} {
		slow, err := net.Dial("tcp", l.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		if _, err := slow.Write([]byte(begun)); err != nil {
			t.Fatal(err)
		}
		answer, err := http.Get("http://" + l.Addr().String() + "/healthz")
		if err != nil || answer.StatusCode != http.StatusOK {
			t.Errorf("beside a client that is slow with %s: %v %v", name, answer, err)
		} else {
			answer.Body.Close()
		}
		if err := slow.SetReadDeadline(time.Now().Add(20 * time.Second)); err != nil {
			t.Fatal(err)
		}
		if _, err := io.Copy(io.Discard, slow); err != nil {
			t.Errorf("a client that is slow with %s was not cut off: %v", name, err)
		}
		slow.Close()
	}
	stop()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}
