package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"github.com/pourwright/pourwright/internal/store/postgres"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

func (p *program) backupVerb() *cobra.Command {
	var overwrite bool
	c := &cobra.Command{
		Use: "backup [flags] FILE", Short: "copy the database to FILE, also while it is in use",
		Args: cobra.ExactArgs(1),
	}
	c.Flags().String("db", "pourwright.db", "database `file`")
	c.Flags().BoolVar(&overwrite, "overwrite", false, "replace FILE if it is there")
	c.RunE = func(c *cobra.Command, args []string) (err error) {
		cfg, _, err := p.settings(c)
		if err != nil {
			return err
		}
		if postgres.Names(cfg.DB) {
			return onServer("backup", "pg_dump --format=custom --file=FILE")
		}
		if err := mustExist(cfg.DB); err != nil {
			return err
		}
		db, err := sqlite.Open(c.Context(), sqlite.Config{Path: cfg.DB, Rand: p.Rand})
		if err != nil {
			return err
		}
		defer func() { err = errors.Join(err, db.Close()) }()
		if err := db.Backup(c.Context(), args[0], overwrite); err != nil {
			return err
		}
		_, err = fmt.Fprintf(p.Out, "%s is backed up to %s; the copy was opened and read through\n", cfg.DB, args[0])
		return err
	}
	return c
}

func (p *program) restoreVerb() *cobra.Command {
	c := &cobra.Command{
		Use: "restore [flags] FILE", Short: "put the backup FILE in the database's place; the old one is kept beside",
		Args: cobra.ExactArgs(1),
	}
	c.Flags().String("db", "pourwright.db", "database `file`")
	c.RunE = func(c *cobra.Command, args []string) error {
		cfg, _, err := p.settings(c)
		if err != nil {
			return err
		}
		if postgres.Names(cfg.DB) {
			return onServer("restore", "stop every copy of the bot, then pg_restore --clean --if-exists --dbname=DATABASE FILE")
		}
		old, err := sqlite.Restore(c.Context(), args[0], cfg.DB)
		if err != nil {
			return err
		}
		text := fmt.Sprintf("%s is restored from %s", cfg.DB, args[0])
		if old != "" {
			text += "; the one before is kept as " + old
		}
		_, err = fmt.Fprintln(p.Out, text)
		return err
	}
	return c
}
