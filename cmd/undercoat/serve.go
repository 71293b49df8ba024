package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"undercoat/cmd/undercoat/web"
	"undercoat/finish"
	"undercoat/finish/sheet"
)

// serveOptions says where the page is served.
type serveOptions struct {
	addr  string
	share bool
}

func newServeCommand(env *environment) *cobra.Command {
	o := &serveOptions{}
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "The page: the whole job in a browser on this machine",
		Long: `serve gives the pages of the workroom to a browser on this machine, from this program, without the internet.
With --share other machines of the network may look too, each after typing the pairing code that is printed
here; the connection is not encrypted (no TLS), so share only on a network whose people you trust.

Exit status: 0 stopped; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat serve --addr 127.0.0.1:8417",
		Args:    noWords,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return env.workroom(cmd.Context(), func(b *finish.Bench) error { return runServe(cmd.Context(), env, b, *o) })
		},
	}
	cmd.Flags().StringVar(&o.addr, "addr", "", "address and port to listen on (default 127.0.0.1:8417, with --share :8417)")
	cmd.Flags().BoolVar(&o.share, "share", false, "let other machines of the network in, with a pairing code")
	return cmd
}

const defaultPort = "8417"

// runServe serves until the context ends.
func runServe(ctx context.Context, env *environment, b *finish.Bench, o serveOptions) error {
	addr, err := listenAddress(o)
	if err != nil {
		return err
	}
	l, err := new(net.ListenConfig).Listen(ctx, "tcp", addr)
	if err != nil {
		return &finish.Hinted{Err: fmt.Errorf("serve page: %w", err), Try: []string{"undercoat serve --addr 127.0.0.1:0   (any free port)"}}
	}
	port := fmt.Sprint(l.Addr().(*net.TCPAddr).Port)
	opt := web.Options{Hosts: []string{"127.0.0.1", "::1", "localhost"}}
	if o.share {
		opt.Code = web.NewCode()
		near, err := networkAddresses(l.Addr().(*net.TCPAddr).IP)
		if err != nil {
			l.Close()
			return err
		}
		opt.Hosts = append(opt.Hosts, near...)
		env.say("Open on another machine of this network, then type the pairing code:")
		for _, h := range near {
			opt.Near = append(opt.Near, fmt.Sprintf("http://%s/", net.JoinHostPort(h, port)))
			env.say("  %s", opt.Near[len(opt.Near)-1])
		}
		if err := env.sayQR(opt); err != nil {
			l.Close()
			return err
		}
		env.say("Pairing code: %s-%s", opt.Code[:4], opt.Code[4:])
		env.say("The connection is NOT encrypted (no TLS): share only on a network whose people you trust.")
	}
	fmt.Fprintf(env.out, "http://%s/\n", net.JoinHostPort("127.0.0.1", port))
	env.say("Stop with Ctrl-C.")
	pages := web.New(b, env.now, opt)
	var warm sync.WaitGroup
	warm.Go(func() { pages.Warm(ctx) })
	err = serveUntil(ctx, web.NewHTTPServer(pages.Handler()), l)
	pages.End()
	warm.Wait() // the workroom file is closed after this
	return err
}

// sayQR draws the first address with its code for the camera of a phone, on a
// terminal only.
func (env *environment) sayQR(opt web.Options) error {
	f, ok := env.talk.(*os.File)
	if !ok || len(opt.Near) == 0 || os.Getenv("TERM") == "dumb" || !term.IsTerminal(int(f.Fd())) {
		return nil
	}
	q, err := sheet.NewQR(web.PairAddress(opt.Near[0], opt.Code))
	if err != nil {
		return fmt.Errorf("serve page: %w", err)
	}
	lines := q.Coloured()
	if os.Getenv("NO_COLOR") != "" {
		lines = q.Lines()
	}
	for _, l := range lines {
		env.say("%s", l)
	}
	return nil
}

// serveUntil serves until the context ends, then lets running answers finish.
func serveUntil(ctx context.Context, server *http.Server, l net.Listener) error {
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(l) }()
	select {
	case err := <-failed:
		return fmt.Errorf("serve page: %w", err)
	case <-ctx.Done():
	}
	end, cancel := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
	defer cancel()
	if err := server.Shutdown(end); err != nil && !errors.Is(err, context.DeadlineExceeded) {
		return fmt.Errorf("stop page: %w", err)
	}
	return nil
}

// listenAddress checks that only a shared page listens beyond this machine.
func listenAddress(o serveOptions) (string, error) {
	addr := o.addr
	switch {
	case addr == "" && o.share:
		return ":" + defaultPort, nil
	case addr == "":
		return net.JoinHostPort("127.0.0.1", defaultPort), nil
	}
	host, port, err := net.SplitHostPort(addr)
	if err != nil {
		return "", fmt.Errorf("serve page: %s: expected an address and a port, like 127.0.0.1:%s", addr, defaultPort)
	}
	if o.share {
		return addr, nil
	}
	if ip := net.ParseIP(host); strings.EqualFold(host, "localhost") || ip != nil && ip.IsLoopback() {
		return net.JoinHostPort(host, port), nil
	}
	return "", &finish.Hinted{Err: fmt.Errorf("serve page: %s: other machines could reach it", addr), Try: []string{"undercoat serve --share --addr " + addr}}
}

// networkAddresses are the addresses other machines may find this one under.
func networkAddresses(listening net.IP) ([]string, error) {
	if listening != nil && !listening.IsUnspecified() {
		return []string{listening.String()}, nil
	}
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil, fmt.Errorf("serve page: list network addresses: %w", err)
	}
	var out []string
	for _, a := range all {
		n, ok := a.(*net.IPNet)
		if ok && !n.IP.IsLoopback() && !n.IP.IsLinkLocalUnicast() {
			out = append(out, n.IP.String())
		}
	}
	// The short ones first: they are typed on a phone.
	slices.SortStableFunc(out, func(a, b string) int { return strings.Count(a, ":") - strings.Count(b, ":") })
	return out, nil
}
