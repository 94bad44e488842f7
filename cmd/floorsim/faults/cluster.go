package faults

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// cluster is a PostgreSQL of our own that may be broken.
type cluster struct {
	bin, dir string // its programs; its data
	port     int
	owner    []string // how to become who owns it, for PostgreSQL refuses root
}

// postgresPrograms finds the newest PostgreSQL of the machine.
func postgresPrograms() (string, error) {
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/initdb")
	if err == nil && len(found) > 0 {
		slices.Sort(found)
		return filepath.Dir(found[len(found)-1]), nil
	}
	path, err := exec.LookPath("initdb")
	if err != nil {
		return "", errors.New("no PostgreSQL server is installed: its programs initdb and pg_ctl are needed")
	}
	path, err = filepath.EvalSymlinks(path)
	return filepath.Dir(path), err
}

// owner is how a command is run as who may own a database.
func owner() []string {
	if os.Geteuid() != 0 {
		return nil
	}
	return []string{"runuser", "-u", "postgres", "--"}
}

func freePort() (int, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return 0, err
	}
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port, nil
}

// newCluster makes an empty, durable cluster in a folder; it is not started.
func newCluster(ctx context.Context, dir string) (*cluster, error) {
	bin, err := postgresPrograms()
	if err != nil {
		return nil, err
	}
	c := &cluster{bin: bin, dir: dir, owner: owner()}
	if c.port, err = freePort(); err != nil {
		return nil, err
	}
	if err := c.belongs(ctx); err != nil {
		return nil, err
	}
	return c, c.run(ctx, "initdb", "-D", c.dir, "-U", "postgres", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "--wal-segsize=1")
}

// belongs makes the folder, owned by who runs the database.
func (c *cluster) belongs(ctx context.Context) error {
	if err := os.MkdirAll(c.dir, 0o700); err != nil {
		return err
	}
	if c.owner == nil {
		return nil
	}
	return exec.CommandContext(ctx, "chown", "-R", "postgres", c.dir).Run()
}

// run runs one of PostgreSQL's programs.
func (c *cluster) run(ctx context.Context, program string, args ...string) error {
	out, err := c.output(ctx, program, args...)
	if err != nil {
		return fmt.Errorf("%s: %w: %.600s", program, err, out)
	}
	return nil
}

func (c *cluster) output(ctx context.Context, program string, args ...string) ([]byte, error) {
	line := append(slices.Clone(c.owner), filepath.Join(c.bin, program))
	line = append(line, args...)
	cmd := exec.CommandContext(ctx, line[0], line[1:]...)
	cmd.Dir = "/"
	var out bytes.Buffer
	// Files, not pipes: pg_ctl leaves a server behind that would keep a pipe open.
	log, err := os.CreateTemp("", "hulltally-faults-*.log")
	if err != nil {
		return nil, err
	}
	defer os.Remove(log.Name())
	defer log.Close()
	cmd.Stdout, cmd.Stderr = log, log
	err = cmd.Run()
	text, readErr := os.ReadFile(log.Name())
	out.Write(text)
	return out.Bytes(), errors.Join(err, readErr)
}

func (c *cluster) start(ctx context.Context) error {
	options := fmt.Sprintf("-p %d -c listen_addresses=127.0.0.1 -c unix_socket_directories= -c max_connections=80 "+
		"-c wal_level=replica -c hot_standby=on -c shared_buffers=64MB -c max_wal_size=64MB -c min_wal_size=8MB "+
		"-c wal_retrieve_retry_interval=200ms", c.port)
	return c.run(ctx, "pg_ctl", "-D", c.dir, "-l", filepath.Join(c.dir, "server.log"), "-w", "-t", "60", "-o", options, "start")
}

// stop stops it in one of pg_ctl's ways: fast or immediate.
func (c *cluster) stop(ctx context.Context, mode string) error {
	return c.run(ctx, "pg_ctl", "-D", c.dir, "-m", mode, "-w", "-t", "60", "stop")
}

// kill kills all its processes at once, as a power cut does.
func (c *cluster) kill(ctx context.Context) error {
	text, err := os.ReadFile(filepath.Join(c.dir, "postmaster.pid"))
	if err != nil {
		return err
	}
	pid, _, _ := strings.Cut(string(text), "\n")
	if _, err := strconv.Atoi(pid); err != nil {
		return fmt.Errorf("postmaster.pid begins with %q", pid)
	}
	// The parent is stopped first, so that it brings no child back.
	for _, args := range [][]string{{"-STOP", pid}, nil, {"-KILL", pid}} {
		if args == nil {
			_ = exec.CommandContext(ctx, "pkill", "-KILL", "-P", pid).Run() // says 1 where there is no child
			continue
		}
		if err := exec.CommandContext(ctx, "kill", args...).Run(); err != nil {
			return err
		}
	}
	for exec.CommandContext(ctx, "kill", "-0", pid).Run() == nil {
		time.Sleep(2 * time.Millisecond)
	}
	return os.Remove(filepath.Join(c.dir, "postmaster.pid"))
}

// tear writes garbage behind the last record of the log, where a power cut may
// have left half a record.
func (c *cluster) tear(ctx context.Context, garbage []byte) error {
	control, err := c.output(ctx, "pg_controldata", "-D", c.dir)
	if err != nil {
		return fmt.Errorf("pg_controldata: %w: %s", err, control)
	}
	redo := field(string(control), "Latest checkpoint's REDO location:")
	timeline := field(string(control), "Latest checkpoint's TimeLineID:")
	// It always ends with an error, for the log ends nowhere in particular.
	said, _ := c.output(ctx, "pg_waldump", "-q", "-t", timeline, "-p", filepath.Join(c.dir, "pg_wal"), "-s", redo)
	if len(bytes.TrimSpace(said)) == 0 {
		said, _ = c.output(ctx, "pg_waldump", "-t", timeline, "-p", filepath.Join(c.dir, "pg_wal"), "-s", redo)
	}
	line, err := strconv.Atoi(timeline)
	if err != nil {
		return err
	}
	name, offset, err := endOfLog(string(said), line)
	if err != nil {
		return err
	}
	f, err := os.OpenFile(filepath.Join(c.dir, "pg_wal", name), os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	_, err = f.WriteAt(garbage[:min(len(garbage), segment-offset)], int64(offset))
	return errors.Join(err, f.Close())
}

// segment is the length of a file of the log, as newCluster sets it.
const segment = 1 << 20

// Both ways in which pg_waldump tells where the log ends.
var (
	endRecord = regexp.MustCompile(`error in WAL record at [0-9A-F/]+: .* at ([0-9A-F]+)/([0-9A-F]+):`)
	endPage   = regexp.MustCompile(`in (?:log|WAL) segment ([0-9A-F]{24}),.* offset ([0-9]+)`)
)

// endOfLog is the file of the log and the place in it where the next record would come.
func endOfLog(said string, timeline int) (file string, offset int, err error) {
	if m := endPage.FindStringSubmatch(said); m != nil {
		offset, err = strconv.Atoi(m[2])
		return m[1], offset, err
	}
	m := endRecord.FindStringSubmatch(said)
	if m == nil {
		return "", 0, fmt.Errorf("pg_waldump did not name the end of the log: %.300s", said)
	}
	high, err1 := strconv.ParseUint(m[1], 16, 32)
	low, err2 := strconv.ParseUint(m[2], 16, 32)
	return fmt.Sprintf("%08X%08X%08X", timeline, high, low/segment), int(low % segment), errors.Join(err1, err2)
}

func field(text, name string) string {
	_, rest, _ := strings.Cut(text, name)
	line, _, _ := strings.Cut(rest, "\n")
	return strings.TrimSpace(line)
}

// follow makes a cluster in a folder that copies another and follows it.
func (c *cluster) follow(ctx context.Context, dir string) (*cluster, error) {
	s := &cluster{bin: c.bin, dir: dir, owner: c.owner}
	var err error
	if s.port, err = freePort(); err != nil {
		return nil, err
	}
	return s, s.copyOf(ctx, c)
}

// copyOf makes it a standby of another; what it held is gone.
func (s *cluster) copyOf(ctx context.Context, primary *cluster) error {
	if err := os.RemoveAll(s.dir); err != nil {
		return err
	}
	if err := s.belongs(ctx); err != nil {
		return err
	}
	return s.run(ctx, "pg_basebackup", "-D", s.dir, "-d", fmt.Sprintf("host=127.0.0.1 port=%d user=postgres application_name=standby", primary.port),
		"-R", "-X", "stream", "-c", "fast")
}

// sql runs statements, each a transaction of its own.
func (c *cluster) sql(ctx context.Context, database string, statements ...string) (string, error) {
	var all strings.Builder
	for _, s := range statements {
		out, err := c.output(ctx, "psql", "-X", "-A", "-t", "-q", "-h", "127.0.0.1", "-p", strconv.Itoa(c.port), "-U", "postgres", "-d", database, "-c", s)
		if err != nil {
			return "", fmt.Errorf("%s: %w: %.300s", s, err, out)
		}
		all.Write(out)
	}
	return strings.TrimSpace(all.String()), nil
}

// demand has every commit wait for the standby's disk too.
func (c *cluster) demand(ctx context.Context) error {
	if _, err := c.sql(ctx, "postgres", "ALTER SYSTEM SET synchronous_standby_names = 'standby'", "SELECT pg_reload_conf()"); err != nil {
		return err
	}
	for began := time.Now(); time.Since(began) < time.Minute; time.Sleep(20 * time.Millisecond) {
		state, err := c.sql(ctx, "postgres", "SELECT sync_state FROM pg_stat_replication WHERE application_name = 'standby'")
		if err == nil && state == "sync" {
			return nil
		}
	}
	return errors.New("the standby did not come to be synchronous within a minute")
}
