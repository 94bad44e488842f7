// Hulltally costs the boats of a yard from what its floor scans.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"time"

	"github.com/alecthomas/kong"

	"hulltally/handlers"
	"hulltally/models"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], env{os.Stdin, os.Stdout, os.Stderr, time.Now})
	stop()
	os.Exit(code)
}

// env is what a command has of the machine.
type env struct {
	in       io.Reader
	out, err io.Writer
	now      func() time.Time
}

// Exit codes.
const (
	done       = 0
	answerIsNo = 1
	wrongUsage = 2
)

// errNo says no without more words: a command has printed its reasons.
var errNo = errors.New("")

// cli is the command line.
type cli struct {
	Database string `help:"The database: sqlite:PATH or postgres://…" env:"HULLTALLY_DATABASE" placeholder:"URL"`

	Serve   serveCommand   `cmd:"" help:"Run the server: stations, owner pages, JSON API."`
	Demo    demoCommand    `cmd:"" help:"Make a fresh demonstration yard with some months of work, and serve it."`
	Load    loadCommand    `cmd:"" help:"Load the yard files of a folder, all or nothing."`
	Dump    dumpCommand    `cmd:"" help:"Write everything recorded as yard files."`
	Codes   codesCommand   `cmd:"" help:"List every printed code."`
	Scan    scanCommand    `cmd:"" help:"Feed reads to the database, or to a server."`
	Report  reportCommand  `cmd:"" help:"Print a report: cost, margin, hours, stock, mass, ties or month."`
	Export  exportCommand  `cmd:"" help:"Give a table of a month's end to another program: payroll, journal, stock valuation."`
	Pack    packCommand    `cmd:"" help:"Write the month-end pack, PDF and XLSX."`
	Close   closeCommand   `cmd:"" help:"Close a month, preview that, or open the latest one again."`
	Key     keyCommand     `cmd:"" help:"Make, list or revoke station keys."`
	People  peopleCommand  `cmd:"" help:"Let people in, list them, keep them out."`
	Logbook logbookCommand `cmd:"" help:"Check that the record of who did what is as it was written."`
	Rebuild rebuildCommand `cmd:"" help:"Compute everything derived anew, and compare or replace."`
	Backup  backupCommand  `cmd:"" help:"Write everything to a file, while others work."`
	Restore restoreCommand `cmd:"" help:"Fill a database from a backup, and verify it."`
	Move    moveCommand    `cmd:"" help:"Copy everything to another database, such as from SQLite to PostgreSQL, and verify it."`
	Check   checkCommand   `cmd:"" help:"Say whether all is well, for monitoring."`
	Labels  labelsCommand  `cmd:"" help:"Print job cards, badges, lot labels and wall sheets as PDF."`
}

// run runs one command and gives its exit code.
func run(ctx context.Context, args []string, e env) (code int) {
	var c cli
	exited := -1
	parser, err := kong.New(&c, kong.Name("hulltally"), kong.Writers(e.out, e.err),
		kong.Description("Costs the boats of a yard from what its floor scans."),
		kong.Vars{"reports": strings.Join(handlers.ReportNames, ",")},
		kong.Exit(func(n int) { exited = n }), kong.UsageOnError(),
		kong.BindTo(ctx, (*context.Context)(nil)), kong.Bind(e))
	if err != nil {
		fmt.Fprintln(e.err, "hulltally:", err)
		return wrongUsage
	}
	parsed, err := parser.Parse(args)
	if exited == 0 { // help was asked for
		return done
	}
	if err != nil {
		fmt.Fprintf(e.err, "hulltally: %v; try hulltally --help\n", err)
		return wrongUsage
	}
	if err := parsed.Run(&c); err != nil {
		tell(e.err, err)
		if errors.As(err, &usageError{}) {
			return wrongUsage
		}
		return answerIsNo
	}
	return done
}

// tell prints an error, one line for each problem.
func tell(w io.Writer, err error) {
	var p *models.Problems
	switch {
	case errors.Is(err, errNo):
	case errors.As(err, &p):
		for _, one := range p.List {
			fmt.Fprintln(w, one.String())
		}
		fmt.Fprintln(w, "nothing was changed: correct these and try again")
	default:
		fmt.Fprintln(w, "hulltally:", err)
	}
}
