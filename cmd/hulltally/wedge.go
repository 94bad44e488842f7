package main

import (
	"bufio"
	"bytes"
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/models"
)

// longestScan is the longest line that is taken for a scan, in bytes.
const longestScan = 1000

// isReads reports whether a first line is the header of reads.csv, and not a scan.
func isReads(line []byte) bool {
	fields := strings.Split(strings.TrimPrefix(strings.TrimSpace(string(line)), "\ufeff"), ",")
	for _, name := range []string{"id", "n", "at", "payload"} {
		if !slices.ContainsFunc(fields, func(f string) bool { return strings.Trim(f, `" `) == name }) {
			return false
		}
	}
	return true
}

// listener takes the lines of a scanner: each becomes a read with an id, a
// number and an instant of its own, is brought onto the disk, and only then
// said to be kept. It is sent as soon as the server answers.
type listener struct {
	e      env
	t      *sender
	mu     sync.Mutex // of the spool, the output and what follows
	spool  *spool
	n      int64
	counts sentCounts
	fresh  chan struct{} // holds one where a read waits for the sender
}

// listen reads scans until the input ends, then sends what is left.
func (s *scanCommand) listen(ctx context.Context, e env, in *bufio.Reader) error {
	spool, err := s.openSpool()
	if err != nil {
		return err
	}
	defer spool.close()
	l := &listener{
		e: e, t: s.sender(), spool: spool, fresh: make(chan struct{}, 1),
		counts: sentCounts{outcomes: map[clock.Outcome]int{}},
	}
	sending, stop := context.WithCancel(ctx)
	var sender sync.WaitGroup
	sender.Go(func() { l.send(sending) })
	err = l.read(ctx, in)
	stop()
	sender.Wait()
	rest, sendErr := l.t.empty(ctx, spool)
	for outcome, n := range rest.outcomes {
		l.counts.outcomes[outcome] += n
	}
	printCounts(e.out, l.counts.sent+rest.sent, models.ScanCounts{Outcomes: l.counts.outcomes})
	if sendErr != nil {
		sendErr = fmt.Errorf("%d reads are kept in %s: run the same command again to send them: %w", spool.left(), spool.path, sendErr)
	}
	return errors.Join(err, sendErr)
}

func (l *listener) read(ctx context.Context, in *bufio.Reader) error {
	for ctx.Err() == nil {
		line, err := in.ReadString('\n')
		if payload := strings.TrimFunc(strings.ToValidUTF8(line, "?"), func(r rune) bool { return r <= ' ' || r == 0x7f }); payload != "" {
			if err := l.keep(payload); err != nil {
				return err
			}
		}
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("the scanner cannot be read: %w", err)
		}
	}
	return nil
}

// keep brings one scan onto the disk and says so.
func (l *listener) keep(payload string) error {
	if len(payload) > longestScan {
		fmt.Fprintf(l.e.err, "not kept, for no code is so long: %.40q…\n", payload)
		return nil
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	now := costing.InstantOf(l.e.now())
	l.n = max(l.n+1, int64(now)) // runs on over restarts, as clocks do
	if err := l.spool.add([]models.ReadRow{{ID: newReadID(), N: l.n, At: now, Payload: payload}}); err != nil {
		return err
	}
	fmt.Fprintf(l.e.out, "kept %s\n", payload)
	select {
	case l.fresh <- struct{}{}:
	default:
	}
	return nil
}

// send brings what is kept to the server, for as long as it takes.
func (l *listener) send(ctx context.Context) {
	wait := time.Duration(0)
	for {
		l.mu.Lock()
		batch := slices.Clone(l.spool.next(sendBatch))
		l.mu.Unlock()
		if len(batch) == 0 {
			select {
			case <-ctx.Done():
				return
			case <-l.fresh:
			}
			continue
		}
		answers, err := l.t.post(ctx, batch)
		if err == nil {
			err = l.told(batch, answers)
			wait = 0
			if err == nil {
				continue
			}
		}
		if ctx.Err() != nil {
			return
		}
		if wait == 0 {
			fmt.Fprintf(l.e.err, "kept here until the server answers: %v\n", err)
		}
		wait = min(max(time.Second, 2*wait), sendWait)
		select {
		case <-ctx.Done():
			return
		case <-time.After(wait):
		}
	}
}

// told says what became of reads and takes them off the spool.
func (l *listener) told(batch []wireRead, answers []sentAnswer) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	for i, a := range answers {
		fmt.Fprintf(l.e.out, "%s %s: %s\n", a.Outcome, batch[i].Payload, a.Say)
		l.counts.outcomes[a.Outcome]++
	}
	l.counts.sent += len(batch)
	return l.spool.acknowledge(len(batch))
}

// newReadID draws a UUID of version 4.
func newReadID() string {
	b := make([]byte, 16)
	_, _ = rand.Read(b) // never fails: the program stops before
	b[6], b[8] = b[6]&0x0f|0x40, b[8]&0x3f|0x80
	h := hex.EncodeToString(b)
	return h[:8] + "-" + h[8:12] + "-" + h[12:16] + "-" + h[16:20] + "-" + h[20:]
}

// sender makes what posts reads.
func (s *scanCommand) sender() *sender {
	return &sender{to: strings.TrimRight(s.To, "/") + "/api/reads", key: s.Key, client: &http.Client{Timeout: sendTimeout}}
}

// lines looks at a scanner's first line: reads.csv begins with its header.
func lines(e env) (in *bufio.Reader, reads bool) {
	in = bufio.NewReader(e.in)
	for size := 64; ; size *= 2 {
		head, err := in.Peek(min(size, in.Size()))
		line, _, whole := bytes.Cut(head, []byte("\n"))
		if whole || err != nil || size > in.Size() {
			return in, isReads(line)
		}
	}
}
