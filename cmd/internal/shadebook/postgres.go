package shadebook

import (
	"context"
	"net"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"

	"evenhide/calibrate/refusal"
)

const (
	connectTimeout = 10 * time.Second
	postgresConns  = 4 // a process; a server takes some hundred in all
)

// parsePostgres reads an address.
func parsePostgres(address string) (*pgx.ConnConfig, error) {
	cfg, err := pgx.ParseConfig(address)
	if err != nil { // its text may hold the password
		return nil, refusal.New(ErrRefused, "write it as postgres://USER@HOST:PORT/DATABASE, with signs such as @ : / % in a password as %40 %3A %2F %25",
			"the address of the book's server is not understood")
	}
	return cfg, nil
}

// openPostgres connects to the database at address; nothing but its tables is begun.
func openPostgres(ctx context.Context, address string, _ bool) (*Book, error) {
	cfg, err := parsePostgres(address)
	if err != nil {
		return nil, err
	}
	if cfg.ConnectTimeout == 0 {
		cfg.ConnectTimeout = connectTimeout
	}
	if cfg.RuntimeParams["application_name"] == "" {
		cfg.RuntimeParams["application_name"] = "evenhide"
	}
	b := &Book{engine: postgres, where: whereIs(cfg), db: stdlib.OpenDB(*cfg)}
	b.db.SetMaxOpenConns(postgresConns)
	b.db.SetMaxIdleConns(postgresConns)
	if err := b.db.PingContext(ctx); err != nil {
		b.db.Close()
		return nil, b.explain(err)
	}
	return b, nil
}

// whereIs returns the address without a password.
func whereIs(cfg *pgx.ConnConfig) string {
	at := url.URL{Scheme: "postgres", User: url.User(cfg.User), Path: "/" + cfg.Database}
	more := url.Values{}
	if port := strconv.Itoa(int(cfg.Port)); strings.HasPrefix(cfg.Host, "/") {
		more.Set("host", cfg.Host)
	} else {
		at.Host = net.JoinHostPort(cfg.Host, port)
	}
	if schema := cfg.RuntimeParams["search_path"]; schema != "" {
		more.Set("search_path", schema)
	}
	at.RawQuery = strings.ReplaceAll(more.Encode(), "%2F", "/")
	return at.String()
}
