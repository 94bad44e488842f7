package main

import (
	"context"
	"fmt"

	"hulltally/handlers"
	"hulltally/models"
)

type peopleCommand struct {
	List peopleList `cmd:"" default:"1" help:"List who may sign in."`
	Add  peopleAdd  `cmd:"" help:"Let somebody in; prints a link to choose a password with."`
	Link peopleLink `cmd:"" help:"Print a new link for somebody to choose a password with."`
	Bar  peopleBar  `cmd:"" help:"Stop somebody from signing in."`
}

type peopleList struct{}

// Run lists who may sign in.
func (*peopleList) Run(ctx context.Context, c *cli, e env) error {
	return c.withStore(ctx, func(s *models.Store) error {
		people, err := s.People(ctx)
		for i := range people {
			state := ""
			switch {
			case people[i].Barred():
				state = "barred"
			case people[i].Password == "":
				state = "no password yet"
			}
			fmt.Fprintf(e.out, "%-24s %-12s %s\n", people[i].Name, people[i].Role, state)
		}
		return err
	})
}

type peopleAdd struct {
	Name string `arg:"" help:"The name to sign in with."`
	Role string `required:"" help:"team leader, stores, estimator, bookkeeper or owner."`
	URL  string `name:"public-url" help:"The server's address, for the link." default:"http://127.0.0.1:8080" env:"HULLTALLY_PUBLIC_URL"`
}

// Run lets somebody in.
func (p *peopleAdd) Run(ctx context.Context, c *cli, e env) error {
	return c.withStore(ctx, func(s *models.Store) error {
		if _, err := s.AddPerson(ctx, models.NewPerson{Name: p.Name, Role: models.Role(p.Role)}, byCommand(e)); err != nil {
			return err
		}
		return printLink(ctx, s, e, p.URL, p.Name)
	})
}

type peopleLink struct {
	Name string `arg:"" help:"Who the link is for."`
	URL  string `name:"public-url" help:"The server's address, for the link." default:"http://127.0.0.1:8080" env:"HULLTALLY_PUBLIC_URL"`
}

// Run prints a new link, for an owner who is locked out too.
func (p *peopleLink) Run(ctx context.Context, c *cli, e env) error {
	return c.withStore(ctx, func(s *models.Store) error { return printLink(ctx, s, e, p.URL, p.Name) })
}

func printLink(ctx context.Context, s *models.Store, e env, base, name string) error {
	secret, err := s.NewLink(ctx, name, byCommand(e))
	if err == nil {
		fmt.Fprintln(e.out, base+handlers.LinkPath(secret))
	}
	return err
}

type peopleBar struct {
	Name string `arg:"" help:"Who may not sign in any more."`
	Undo bool   `help:"Let them sign in again."`
}

// Run stops somebody from signing in; their sessions end.
func (p *peopleBar) Run(ctx context.Context, c *cli, e env) error {
	return c.withStore(ctx, func(s *models.Store) error { return s.Bar(ctx, p.Name, !p.Undo, byCommand(e)) })
}
