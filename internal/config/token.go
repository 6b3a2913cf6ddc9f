package config

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
)

// tokenMost bounds the token file; a token has some seventy characters.
const tokenMost = 4096

// readToken takes the token from the environment, or else from the file. No
// error holds any part of it.
func readToken(fromEnv, file string) (Secret, error) {
	text, where := fromEnv, EnvPrefix+"TOKEN"
	if text == "" && file != "" {
		b, err := readPrivate(file)
		if err != nil {
			return Secret{}, err
		}
		text, where = string(b), "token_file "+file
	}
	text = strings.TrimSpace(text)
	if text == "" {
		if fromEnv != "" || file != "" {
			return Secret{}, fmt.Errorf("%s holds no token", where)
		}
		return Secret{}, nil
	}
	text = strings.TrimPrefix(text, "Bot ")
	if strings.ContainsFunc(text, func(r rune) bool { return r <= ' ' || r > '~' }) {
		return Secret{}, fmt.Errorf("%s holds more than a token: there is a space or a character in it that no token has", where)
	}
	return NewSecret(text), nil
}

// readPrivate reads a small file that nobody but its owner can read. The
// checks are of the file that was opened, not of whatever has its name later.
func readPrivate(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("token_file: %w", err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, fmt.Errorf("token_file: %w", err)
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("token_file %s is not a plain file", path)
	}
	if open := info.Mode().Perm() & 0o077; open != 0 {
		return nil, fmt.Errorf("token_file %s can be read by others (mode %04o); run: chmod 600 %s", path, info.Mode().Perm(), path)
	}
	if err := checkOwner(info); err != nil {
		return nil, fmt.Errorf("token_file %s: %w", path, err)
	}
	b, err := io.ReadAll(io.LimitReader(f, tokenMost+1))
	if err != nil {
		return nil, fmt.Errorf("token_file: %w", err)
	}
	if len(b) > tokenMost {
		return nil, fmt.Errorf("token_file %s is too long to be a token", path)
	}
	return b, nil
}

var errOtherOwner = errors.New("it belongs to another user; the program must run as its owner")
