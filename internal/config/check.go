package config

import (
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/url"
	"strconv"
	"strings"
)

// ServiceBase is the chat service's own REST base.
const ServiceBase = "https://discord.com/api/v10"

// retentionMost is a hundred years.
const retentionMost = 36525

// check finds what is wrong in the values.
func (c *Config) check() error {
	var errs []error
	bad := func(format string, args ...any) { errs = append(errs, fmt.Errorf(format, args...)) }
	if c.LogLevel != "" {
		var l slog.Level
		if err := l.UnmarshalText([]byte(c.LogLevel)); err != nil {
			bad("log_level is %q; write debug, info, warn or error", c.LogLevel)
		}
	}
	if c.LogFormat != "text" && c.LogFormat != "json" {
		bad("log_format is %q; write text or json", c.LogFormat)
	}
	if strings.TrimSpace(c.DB) == "" {
		bad("db is empty; give the path of the database file, or the address of a Postgres database")
	}
	if c.ApplicationID != "" && !isID(c.ApplicationID) {
		bad("application_id is %q; it is the long number on the application's page", c.ApplicationID)
	}
	switch {
	case c.Shards < 0:
		bad("shards is %d; write 0 or more", c.Shards)
	case c.Shards > 0 && (c.Shard < -1 || c.Shard >= c.Shards):
		bad("shard is %d; with shards = %d write 0 to %d, or -1 for all", c.Shard, c.Shards, c.Shards-1)
	case c.Shards == 0 && c.Shard != -1:
		bad("shard is set without shards; set both")
	}
	if c.RetentionDays < 0 || c.RetentionDays > retentionMost {
		bad("retention_days is %d; write 0 to keep all for ever, or 1 to %d days", c.RetentionDays, retentionMost)
	}
	if err := checkListen("board_listen", c.BoardListen); err != nil {
		errs = append(errs, err)
	}
	if err := checkListen("ops_listen", c.OpsListen); err != nil {
		errs = append(errs, err)
	}
	if err := c.checkHTTP(); err != nil {
		errs = append(errs, err)
	}
	if err := checkBase(c.APIBase); err != nil {
		errs = append(errs, err)
	}
	return errors.Join(errs...)
}

// checkListen wants a place to listen at: a host, which may be left out, and a
// port.
func checkListen(key, addr string) error {
	if addr == "" {
		return nil
	}
	_, port, err := net.SplitHostPort(addr)
	if n, bad := strconv.ParseUint(port, 10, 16); err != nil || bad != nil || n == 0 && port != "0" {
		return fmt.Errorf("%s is %q; write an address and a port, such as 127.0.0.1:8090", key, addr)
	}
	return nil
}

// isID reports whether s can be an id of the chat service: 64 bits in decimal.
func isID(s string) bool {
	_, err := strconv.ParseUint(s, 10, 64)
	return err == nil
}

// checkBase wants the service's own base or one on this machine, so that a
// slip of the pen can't send the token to a stranger.
func checkBase(base string) error {
	trimmed := strings.TrimRight(base, "/")
	if trimmed == "" || trimmed == ServiceBase {
		return nil
	}
	u, err := url.Parse(trimmed)
	if err != nil || u.Host == "" || u.User != nil || u.RawQuery != "" || u.Fragment != "" || u.Scheme != "http" && u.Scheme != "https" {
		return errors.New("api_base is no plain address; write it like http://127.0.0.1:8080/api/v10")
	}
	host := u.Hostname()
	if ip := net.ParseIP(host); host == "localhost" || ip != nil && ip.IsLoopback() {
		return nil
	}
	return fmt.Errorf("api_base points to %s; only the service's own %s or a loopback address such as 127.0.0.1 is taken", host, ServiceBase)
}
