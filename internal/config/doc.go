// Package config reads the program's settings from a file, the environment and
// flags, the later winning, into one plain struct, and refuses what it does
// not know. It opens nothing but the settings file and the token file.
//
//	c, warnings, err := config.Load(config.Source{Environ: os.Environ()})
//
// Every error it returns is for the person at the keyboard: it names the key,
// where it stood and what to write instead. None of them holds the token.
package config
