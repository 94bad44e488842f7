package faults

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os/exec"
	"sync"
	"syscall"
	"time"
)

// server is a Hulltally that may be killed and started again at its address.
type server struct {
	program, database, address string

	cmd  *exec.Cmd
	said *tail
}

func newServer(program, database string) (*server, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	defer l.Close()
	return &server{program: program, database: database, address: l.Addr().String()}, nil
}

func (s *server) url() string { return "http://" + s.address }

// startPatience is how long a server may take to serve: it may have a log to
// recover first.
const startPatience = 60 * time.Second

// start starts the server; a nil error means that it serves.
func (s *server) start(ctx context.Context) error {
	s.said = &tail{}
	s.cmd = exec.Command(s.program, "--database", s.database, "serve", "--address", s.address, "--reads=-1")
	s.cmd.Stderr = s.said
	if err := s.cmd.Start(); err != nil {
		return err
	}
	ended := make(chan error, 1)
	go func() { ended <- s.cmd.Wait() }()
	client := &http.Client{Timeout: time.Second}
	for began := time.Now(); time.Since(began) < startPatience; time.Sleep(5 * time.Millisecond) {
		select {
		case <-ctx.Done():
			return errors.Join(ctx.Err(), s.kill())
		case err := <-ended:
			return fmt.Errorf("the server ended as it started: %w: %s", err, s.said)
		default:
		}
		resp, err := client.Get(s.url() + "/healthz")
		if err == nil {
			err = resp.Body.Close()
			if err == nil && resp.StatusCode == http.StatusOK {
				return nil
			}
		}
	}
	return fmt.Errorf("the server did not serve within %v: %s", startPatience, s.said)
}

// kill ends it as a power cut would, as far as the program is concerned.
func (s *server) kill() error {
	if s.cmd == nil || s.cmd.Process == nil {
		return nil
	}
	err := s.cmd.Process.Signal(syscall.SIGKILL)
	s.wait()
	return err
}

// wait returns when the process is gone.
func (s *server) wait() {
	for s.cmd.Process.Signal(syscall.Signal(0)) == nil {
		time.Sleep(time.Millisecond)
	}
}

// tail keeps the end of what a program says.
type tail struct {
	mutex sync.Mutex
	text  bytes.Buffer
}

const tailLength = 8 << 10

func (t *tail) Write(p []byte) (int, error) {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	t.text.Write(p)
	if over := t.text.Len() - tailLength; over > 0 {
		t.text.Next(over)
	}
	return len(p), nil
}

func (t *tail) String() string {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	text := t.text.Bytes()
	if over := len(text) - 600; over > 0 {
		text = text[over:]
	}
	return string(text)
}
