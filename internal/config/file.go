package config

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/viper"
)

// fileNames are looked for, in this order, where no file is named.
var fileNames = []string{"pourwright.toml", "pourwright.yaml", "pourwright.yml", "pourwright.json"}

// fileMost bounds the settings file; ours has a dozen short lines.
const fileMost = 1 << 20

// readFile reads the settings file into v and refuses keys that nobody reads.
// It returns the path, "" if there is none.
func readFile(v *viper.Viper, src Source) (string, error) {
	path, err := findFile(src)
	if path == "" || err != nil {
		return "", err
	}
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return "", fmt.Errorf("settings file: %w", err)
	case !info.Mode().IsRegular():
		return "", fmt.Errorf("settings file %s is not a plain file", path)
	case info.Size() > fileMost:
		return "", fmt.Errorf("settings file %s has %d bytes, at most %d are read", path, info.Size(), fileMost)
	}
	if ext := strings.ToLower(filepath.Ext(path)); !slices.Contains([]string{".toml", ".yaml", ".yml", ".json"}, ext) {
		return "", fmt.Errorf("settings file %s: its name must end in .toml, .yaml or .json", path)
	}
	v.SetConfigFile(path)
	if err := v.ReadInConfig(); err != nil {
		return "", fmt.Errorf("settings file %s: %w", path, err)
	}
	return path, checkFileKeys(v, path)
}

func findFile(src Source) (string, error) {
	if src.File != "" {
		return src.File, nil
	}
	var found []string
	for _, name := range fileNames {
		path := filepath.Join(src.Dir, name)
		_, err := os.Stat(path)
		switch {
		case err == nil:
			found = append(found, path)
		case !errors.Is(err, fs.ErrNotExist):
			return "", fmt.Errorf("settings file: %w", err)
		}
	}
	switch len(found) {
	case 0:
		return "", nil
	case 1:
		return found[0], nil
	}
	return "", fmt.Errorf("%s are both here; keep one, or name one with --config", strings.Join(found, " and "))
}

// checkFileKeys wants every key of the file to be known, and each to have a
// value that survived its format.
func checkFileKeys(v *viper.Viper, path string) error {
	var errs []error
	all := v.AllKeys()
	slices.Sort(all)
	for _, name := range all {
		if !v.InConfig(strings.SplitN(name, ".", 2)[0]) {
			continue
		}
		if name == "token" {
			errs = append(errs, fmt.Errorf("%s: the token must not stand in the settings file; set %sTOKEN, or token_file to a file that only its owner can read", path, EnvPrefix))
			continue
		}
		if !known(name) {
			what := fmt.Sprintf("%s: key %q", path, name)
			errs = append(errs, errors.New(unknown(what, name, func(k string) string { return k })))
			continue
		}
		// A 19-digit id written as a bare number is rounded by formats whose
		// numbers are floating.
		if _, float := v.Get(name).(float64); float {
			errs = append(errs, fmt.Errorf("%s: write %s in quotes", path, name))
		}
	}
	return errors.Join(errs...)
}
