package main

import (
	"context"
	"crypto/tls"
	"fmt"
	"log/slog"
	"net"

	"hulltally/handlers"
	"hulltally/labels"
	"hulltally/models"
)

type serveCommand struct {
	Address     string `help:"Where to listen." default:"127.0.0.1:8080" env:"HULLTALLY_ADDRESS"`
	TLSCert     string `name:"tls-cert" help:"A certificate file (PEM), to speak TLS." placeholder:"FILE" env:"HULLTALLY_TLS_CERT"`
	TLSKey      string `name:"tls-key" help:"The certificate's key file (PEM)." placeholder:"FILE" env:"HULLTALLY_TLS_KEY"`
	BehindProxy bool   `help:"A proxy in front speaks TLS and says where requests come from." env:"HULLTALLY_BEHIND_PROXY"`
	PublicURL   string `name:"public-url" help:"The address people know the server by, for links." placeholder:"URL" env:"HULLTALLY_PUBLIC_URL"`
	Reads       int    `help:"Requests a second one station key may send; below 0 for no limit." default:"1000"`

	Fonts  []string `help:"Folders of fonts for cards with names in other scripts." placeholder:"DIR" env:"HULLTALLY_FONTS"`
	Photos string   `help:"A folder of photos for badges, named by worker number (.jpg, .png)." placeholder:"DIR" env:"HULLTALLY_PHOTOS"`
}

// Run serves until it is told to stop.
func (v *serveCommand) Run(ctx context.Context, c *cli, e env) error {
	return c.withStore(ctx, func(s *models.Store) error { return v.serve(ctx, s, e) })
}

// serve serves an open store.
func (v *serveCommand) serve(ctx context.Context, store *models.Store, e env) error {
	var certificate *tls.Certificate
	if v.TLSCert != "" || v.TLSKey != "" {
		pair, err := tls.LoadX509KeyPair(v.TLSCert, v.TLSKey)
		if err != nil {
			return fmt.Errorf("the certificate cannot be used; give --tls-cert and --tls-key: %w", err)
		}
		certificate = &pair
	}
	fonts, err := labels.LoadFonts(v.Fonts...)
	if err != nil {
		return err
	}
	server, err := handlers.New(handlers.Options{
		Store: store, Now: e.now, Log: slog.New(slog.NewJSONHandler(e.err, nil)),
		Secure: certificate != nil || v.BehindProxy, BehindProxy: v.BehindProxy, ReadsPerSecond: v.Reads,
		Fonts: fonts, Photos: photosIn(v.Photos),
	})
	if err != nil {
		return err
	}
	var listen net.ListenConfig
	l, err := listen.Listen(ctx, "tcp", v.Address)
	if err != nil {
		server.Close()
		return fmt.Errorf("cannot listen on %s: name another with --address: %w", v.Address, err)
	}
	base := v.base(l.Addr(), certificate != nil)
	fmt.Fprintln(e.out, "serving on", base)
	if err := v.printSetUp(ctx, store, e, base); err != nil {
		server.Close()
		return err
	}
	return server.Serve(ctx, l, certificate)
}

func (v *serveCommand) base(at net.Addr, secure bool) string {
	switch {
	case v.PublicURL != "":
		return v.PublicURL
	case secure:
		return "https://" + at.String()
	}
	return "http://" + at.String()
}

// printSetUp prints the link for the first owner while there is none.
func (v *serveCommand) printSetUp(ctx context.Context, store *models.Store, e env, base string) error {
	has, err := store.HasOwner(ctx)
	if err != nil || has {
		return err
	}
	secret, err := store.NewLink(ctx, "", byCommand(e))
	if err != nil {
		return err
	}
	fmt.Fprintf(e.out, "nobody can sign in yet. The first owner sets up here, once, within %v:\n%s%s\n",
		models.LinkLasts, base, handlers.LinkPath(secret))
	return nil
}
