package shadebook

import (
	"bytes"
	"io"
	"net"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// proxy stands between a book and its server, and can go away.
type proxy struct {
	server  [2]string // network and address
	address string    // of the proxy
	mu      sync.Mutex
	listen  net.Listener
	conns   map[net.Conn]bool
	// cut decides on what a client sends: true has it handed on and the connection
	// cut before the server's answer.
	cut func(sent []byte) bool
}

// startProxy returns a proxy to the server of address, and the address through it.
func startProxy(t testing.TB, address string) (*proxy, string) {
	t.Helper()
	at := must(url.Parse(address))(t)
	q := at.Query()
	p := &proxy{server: [2]string{"tcp", at.Host}, address: "127.0.0.1:0", conns: map[net.Conn]bool{}}
	if dir := q.Get("host"); strings.HasPrefix(dir, "/") {
		port := q.Get("port")
		if port == "" {
			port = "5432"
		}
		p.server = [2]string{"unix", filepath.Join(dir, ".s.PGSQL."+port)}
	}
	p.up(t)
	t.Cleanup(p.down)
	q.Del("host")
	q.Set("sslmode", "disable")
	if q.Get("user") == "" && at.User == nil {
		q.Set("user", osUser())
	}
	at.Host, at.RawQuery = p.address, q.Encode()
	return p, at.String()
}

func osUser() string {
	if user := os.Getenv("USER"); user != "" {
		return user
	}
	return "root" // as in a bare container
}

// up has the proxy listen.
func (p *proxy) up(t testing.TB) {
	listen, err := net.Listen("tcp", p.address)
	if err != nil {
		t.Error(err)
		return
	}
	p.mu.Lock()
	p.listen, p.address = listen, listen.Addr().String()
	p.mu.Unlock()
	go func() {
		for {
			client, err := listen.Accept()
			if err != nil {
				return
			}
			go p.serve(client)
		}
	}()
}

// down cuts all connections and takes no more.
func (p *proxy) down() {
	p.mu.Lock()
	p.listen.Close()
	p.mu.Unlock()
	p.drop()
}

// drop cuts all connections.
func (p *proxy) drop() {
	p.mu.Lock()
	defer p.mu.Unlock()
	for c := range p.conns {
		c.Close()
	}
	clear(p.conns)
}

func (p *proxy) serve(client net.Conn) {
	server, err := net.Dial(p.server[0], p.server[1])
	if err != nil {
		client.Close()
		return
	}
	p.mu.Lock()
	p.conns[client], p.conns[server] = true, true
	p.mu.Unlock()
	go func() {
		io.Copy(client, server)
		client.Close()
	}()
	buffer := make([]byte, 1<<16)
	for {
		n, err := client.Read(buffer)
		if err != nil {
			break
		}
		p.mu.Lock()
		cut := p.cut != nil && p.cut(buffer[:n])
		p.mu.Unlock()
		if cut {
			client.Close()
		}
		if _, err := server.Write(buffer[:n]); err != nil || cut {
			break
		}
	}
	server.Close()
	client.Close()
}

// atNth cuts the nth time that a client sends word.
func (p *proxy) atNth(n int, word string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.cut = func(sent []byte) bool {
		if !bytes.Contains(sent, []byte(word)) {
			return false
		}
		n--
		return n == 0
	}
}
