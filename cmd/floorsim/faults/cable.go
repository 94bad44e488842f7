package faults

import (
	"context"
	"io"
	"net"
	"sync"
	"sync/atomic"
)

// cable is the network between the stations and a server, to be cut.
type cable struct {
	to     string
	listen net.Listener
	state  atomic.Int32

	mutex sync.Mutex
	open  map[net.Conn]bool
}

// States of a cable.
const (
	whole  = iota
	cut    // nothing gets through
	oneWay // requests get through, answers do not
)

func newCable(to string) (*cable, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	c := &cable{to: to, listen: l, open: map[net.Conn]bool{}}
	go c.serve()
	return c, nil
}

func (c *cable) url() string { return "http://" + c.listen.Addr().String() }

func (c *cable) close() {
	_ = c.listen.Close() // nobody listens any more: that is what was wanted
	c.set(cut)
}

// set changes the state. A cut ends what is under way.
func (c *cable) set(state int32) {
	c.state.Store(state)
	if state == oneWay { // what is under way loses its answer, as it comes
		return
	}
	c.mutex.Lock()
	defer c.mutex.Unlock()
	for conn := range c.open {
		_ = conn.Close()
	}
}

func (c *cable) serve() {
	for {
		in, err := c.listen.Accept()
		if err != nil {
			return
		}
		if c.state.Load() == cut {
			_ = in.Close()
			continue
		}
		go c.carry(in)
	}
}

func (c *cable) carry(in net.Conn) {
	defer in.Close()
	var dial net.Dialer
	out, err := dial.DialContext(context.Background(), "tcp", c.to)
	if err != nil {
		return
	}
	defer out.Close()
	c.keep(in, out)
	defer c.drop(in, out)
	gone := make(chan struct{})
	go func() {
		_, _ = io.Copy(out, in) // ends with either side
		close(gone)
	}()
	_, _ = io.Copy(answers{c, in}, out)
	_ = in.Close()
	<-gone
}

func (c *cable) keep(conns ...net.Conn) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	for _, conn := range conns {
		c.open[conn] = true
	}
}

func (c *cable) drop(conns ...net.Conn) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	for _, conn := range conns {
		delete(c.open, conn)
	}
}

// answers is the way back; while only one way is open it breaks instead.
type answers struct {
	cable *cable
	net.Conn
}

func (a answers) Write(p []byte) (int, error) {
	if a.cable.state.Load() == oneWay {
		return 0, net.ErrClosed
	}
	return a.Conn.Write(p)
}
