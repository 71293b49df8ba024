package main

import (
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"undercoat/finish"
)

// Only a shared page listens beyond this machine.
func TestListenAddress(t *testing.T) {
	for _, c := range []struct {
		o    serveOptions
		want string // "" is refused
	}{
		{serveOptions{}, "127.0.0.1:8417"}, {serveOptions{share: true}, ":8417"}, {serveOptions{addr: "127.0.0.1:0"}, "127.0.0.1:0"},
		{serveOptions{addr: "127.9.9.9:80"}, "127.9.9.9:80"}, {serveOptions{addr: "[::1]:9"}, "[::1]:9"}, {serveOptions{addr: "LocalHost:9"}, "LocalHost:9"},
		{serveOptions{addr: "0.0.0.0:9", share: true}, "0.0.0.0:9"},
		{serveOptions{addr: "0.0.0.0:9"}, ""}, {serveOptions{addr: ":9"}, ""}, {serveOptions{addr: "[::]:9"}, ""}, {serveOptions{addr: "192.168.0.7:9"}, ""},
		{serveOptions{addr: "workroom.example:9"}, ""}, {serveOptions{addr: "localhost.example:9"}, ""}, {serveOptions{addr: "127.0.0.1"}, ""}, {serveOptions{addr: "9"}, ""},
	} {
		got, err := listenAddress(c.o)
		if got != c.want || (err == nil) != (c.want != "") {
			t.Errorf("%+v listens on %q, %v; want %q", c.o, got, err, c.want)
		}
	}
}

func TestNetworkAddresses(t *testing.T) {
	got, err := networkAddresses(net.ParseIP("192.0.2.7"))
	if err != nil || len(got) != 1 || got[0] != "192.0.2.7" {
		t.Errorf("one address gives %v, %v", got, err)
	}
	all, err := networkAddresses(net.IPv4zero)
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range all {
		if ip := net.ParseIP(a); ip == nil || ip.IsLoopback() || ip.IsLinkLocalUnicast() {
			t.Errorf("%s is told to other machines", a)
		}
	}
}

// Shared, the page says that it does not encrypt, prints a code, and lets
// nobody in without it; it ends with its context.
func TestServeShared(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	bench, err := finish.Open(ctx, filepath.Join(t.TempDir(), "workroom.db"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer bench.Close()
	outR, outW := io.Pipe()
	var talk bytes.Buffer
	env := &environment{out: outW, talk: &talk, now: time.Now}
	ended := make(chan error, 1)
	go func() {
		ended <- runServe(ctx, env, bench, serveOptions{addr: "127.0.0.1:0", share: true})
	}()
	line := make([]byte, 200)
	n, err := outR.Read(line)
	if err != nil {
		t.Fatal(err)
	}
	go io.Copy(io.Discard, outR)
	address := strings.TrimSpace(string(line[:n]))
	resp, err := http.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	body, _ := io.ReadAll(resp.Body)
	resp.Body.Close()
	if resp.StatusCode != http.StatusUnauthorized || !bytes.Contains(body, []byte("Pairing code")) || !bytes.Contains(body, []byte("not encrypted")) {
		t.Errorf("without a code: status %d: %.300s", resp.StatusCode, body)
	}
	cancel()
	select {
	case err := <-ended:
		if err != nil {
			t.Errorf("it ends with %v", err)
		}
	case <-time.After(30 * time.Second):
		t.Fatal("it does not end")
	}
	for _, want := range []string{`Pairing code: [2-9A-HJ-NP-Z]{4}-[2-9A-HJ-NP-Z]{4}`, `NOT encrypted`, `http://127\.0\.0\.1:\d+/`} {
		if !regexp.MustCompile(want).MatchString(talk.String()) {
			t.Errorf("it does not say %s:\n%s", want, talk.String())
		}
	}
}
