// Package process runs a Hulltally as a process of its own, to be measured or killed.
package process

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"
)

// Server is a Hulltally that may be killed and started again at its address.
type Server struct {
	Address string

	program, database string
	cmd               *exec.Cmd
	said              *Tail
}

// New picks a free address for a server of a database; it is not started.
func New(program, database string) (*Server, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	defer l.Close()
	return &Server{Address: l.Addr().String(), program: program, database: database}, nil
}

// URL is where it serves.
func (s *Server) URL() string { return "http://" + s.Address }

// Patience is how long a server may take to serve: it may have a log to
// recover first.
const Patience = 60 * time.Second

// Start starts the server; a nil error means that it serves.
func (s *Server) Start(ctx context.Context) error {
	s.said = &Tail{}
	s.cmd = exec.Command(s.program, "--database", s.database, "serve", "--address", s.Address, "--reads=-1")
	s.cmd.Stderr = s.said
	if err := s.cmd.Start(); err != nil {
		return err
	}
	ended := make(chan error, 1)
	go func() { ended <- s.cmd.Wait() }()
	client := &http.Client{Timeout: time.Second}
	for began := time.Now(); time.Since(began) < Patience; time.Sleep(5 * time.Millisecond) {
		select {
		case <-ctx.Done():
			return errors.Join(ctx.Err(), s.Kill())
		case err := <-ended:
			return fmt.Errorf("the server ended as it started: %w: %s", err, s.said)
		default:
		}
		resp, err := client.Get(s.URL() + "/healthz")
		if err == nil {
			err = resp.Body.Close()
			if err == nil && resp.StatusCode == http.StatusOK {
				return nil
			}
		}
	}
	return fmt.Errorf("the server did not serve within %v: %s", Patience, s.said)
}

// Kill ends it as a power cut would, as far as the program is concerned.
func (s *Server) Kill() error {
	if s.cmd == nil || s.cmd.Process == nil {
		return nil
	}
	err := s.cmd.Process.Signal(syscall.SIGKILL)
	s.wait()
	return err
}

// PeakKB is the most memory it held so far, as the kernel counts it, in kB; 0
// where that cannot be seen.
func (s *Server) PeakKB() int64 {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", s.cmd.Process.Pid))
	if err != nil {
		return 0
	}
	_, rest, _ := strings.Cut(string(text), "VmHWM:")
	number, _, _ := strings.Cut(strings.TrimSpace(rest), " ")
	kb, _ := strconv.ParseInt(number, 10, 64)
	return kb
}

// wait returns when the process is gone.
func (s *Server) wait() {
	for s.cmd.Process.Signal(syscall.Signal(0)) == nil {
		time.Sleep(time.Millisecond)
	}
}

// Tail keeps the end of what a program says.
type Tail struct {
	mutex sync.Mutex
	text  bytes.Buffer
}

const tailLength = 8 << 10

// Write implements io.Writer.
func (t *Tail) Write(p []byte) (int, error) {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	t.text.Write(p)
	if over := t.text.Len() - tailLength; over > 0 {
		t.text.Next(over)
	}
	return len(p), nil
}

// String is the last of what was said.
func (t *Tail) String() string {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	text := t.text.Bytes()
	if over := len(text) - 600; over > 0 {
		text = text[over:]
	}
	return string(text)
}
