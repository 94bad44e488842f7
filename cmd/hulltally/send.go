package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"path/filepath"
	"time"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/models"
)

// Limits of sending. Between two tries the wait doubles up to sendWait.
const (
	sendBatch   = 500
	sendTimeout = 30 * time.Second
	sendWait    = 30 * time.Second
	sendTries   = 6
)

// send spools reads on disk and sends them on; what the server has not
// acknowledged stays in the spool, so a cut loses nothing.
func (s *scanCommand) send(ctx context.Context, e env) error {
	if s.Key == "" {
		return usage("--key", errors.New("sending needs the station's key: hulltally key STATION makes one"))
	}
	if s.File == "-" {
		in, reads := lines(e)
		if !reads {
			return s.listen(ctx, e, in)
		}
		e.in = in
	}
	text, err := s.text(e)
	if err != nil {
		return err
	}
	reads, err := models.ParseReads(text)
	if err != nil {
		return err
	}
	spool, err := s.openSpool()
	if err != nil {
		return err
	}
	defer spool.close()
	if err := spool.add(reads); err != nil {
		return err
	}
	counts, err := s.sender().empty(ctx, spool)
	printCounts(e.out, counts.sent, models.ScanCounts{Outcomes: counts.outcomes})
	if err != nil {
		return fmt.Errorf("%d reads are kept in %s: run the same command again to send them: %w", spool.left(), spool.path, err)
	}
	return nil
}

// openSpool opens the spool of the server that is sent to.
func (s *scanCommand) openSpool() (*spool, error) {
	dir := s.Keep
	if dir == "" {
		base, err := dataFolder()
		if err != nil {
			return nil, err
		}
		dir = filepath.Join(base, "spool")
	}
	return openSpool(dir, s.To)
}

type sender struct {
	to, key string
	client  *http.Client
}

type sentCounts struct {
	sent     int
	outcomes map[clock.Outcome]int
}

// empty sends what is spooled, in order, until nothing is left.
func (t *sender) empty(ctx context.Context, s *spool) (sentCounts, error) {
	c := sentCounts{outcomes: map[clock.Outcome]int{}}
	wait, tries := time.Second, 0
	for s.left() > 0 {
		batch := s.next(sendBatch)
		answers, err := t.post(ctx, batch)
		var fatal *answerError
		switch {
		case err == nil:
			if err := s.acknowledge(len(batch)); err != nil {
				return c, err
			}
			for _, a := range answers {
				c.outcomes[a.Outcome]++
			}
			c.sent += len(batch)
			wait, tries = time.Second, 0
			continue
		case errors.As(err, &fatal):
			return c, err
		}
		if tries++; tries == sendTries {
			return c, err
		}
		select {
		case <-ctx.Done():
			return c, ctx.Err()
		case <-time.After(wait):
			wait = min(2*wait, sendWait)
		}
	}
	return c, nil
}

// answerError is a server's answer that trying again will not better.
type answerError struct{ text string }

func (e *answerError) Error() string { return e.text }

// sentAnswer is what the server says of one read.
type sentAnswer struct {
	ID      string        `json:"id"`
	Outcome clock.Outcome `json:"outcome"`
	Say     string        `json:"say"`
}

// post sends one batch. Only an answer for every read acknowledges it.
func (t *sender) post(ctx context.Context, batch []wireRead) ([]sentAnswer, error) {
	body, err := json.Marshal(batch)
	if err != nil {
		return nil, err
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, t.to, bytes.NewReader(body))
	if err != nil {
		return nil, &answerError{err.Error()}
	}
	req.Header.Set("Authorization", "Bearer "+t.key)
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Hulltally-Sent", costing.InstantOf(time.Now()).String()) // so that the server can tell this clock's error
	resp, err := t.client.Do(req)
	if err != nil {
		return nil, err
	}
	defer resp.Body.Close()
	answer, err := io.ReadAll(io.LimitReader(resp.Body, 4<<20))
	if err != nil {
		return nil, err
	}
	if resp.StatusCode != http.StatusOK {
		text := fmt.Sprintf("the server answered %s: %s", resp.Status, problemText(answer))
		if resp.StatusCode >= 500 || resp.StatusCode == http.StatusTooManyRequests {
			return nil, errors.New(text)
		}
		return nil, &answerError{text}
	}
	var answers []sentAnswer
	if err := json.Unmarshal(answer, &answers); err != nil || len(answers) != len(batch) {
		return nil, fmt.Errorf("the server's answer does not fit what was sent")
	}
	return answers, nil
}

// problemText is the detail of an RFC 9457 problem document, or nothing.
func problemText(body []byte) string {
	var p struct{ Title, Detail string }
	if json.Unmarshal(body, &p) != nil {
		return ""
	}
	if p.Detail != "" {
		return p.Detail
	}
	return p.Title
}
