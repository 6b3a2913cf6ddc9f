package discord

import (
	"encoding/json"
	"errors"
	"fmt"
)

// Types of interactions.
const (
	TypePing         = 1
	TypeCommand      = 2
	TypeComponent    = 3
	TypeAutocomplete = 4
	TypeForm         = 5
)

// Interaction is one event from the service, with the part that its type has.
// Nothing in it has been checked but its shape: limits that the service's
// client enforces must be checked again.
type Interaction struct {
	Type          int
	ID            string
	ApplicationID string
	// Token answers this interaction. It is a secret for 15 minutes.
	Token     string
	GuildID   string // "" outside a guild
	GuildName string // rarely told
	ChannelID string
	Locale    string
	// Context is 0 in a guild, 1 in a direct message with the bot, 2 in other
	// direct messages, -1 when not told.
	Context int
	User    User
	// Member is what the guild knows of the user; nil outside a guild.
	Member *Member
	// Permissions are those of the application in the channel.
	Permissions uint64
	// Owners says through whom the application is there: key "0" a guild, "1" a
	// user who installed it for themselves.
	Owners map[string]string
	// FileLimit is the size of a file that we may send, in bytes; 0 if not told.
	FileLimit int64

	Command *CommandData   // types 2 and 4
	Press   *ComponentData // type 3
	Form    *FormData      // type 5
	Files   map[string]RemoteFile
	// MessageFlags are those of the message that a component stands on.
	MessageFlags int
	// OnMessage says that a form was opened from a component's message.
	OnMessage bool
}

// User is who acts.
type User struct {
	ID, Name, GlobalName string
}

// Member is a user in a guild.
type Member struct {
	Nick        string
	Permissions uint64
}

// DisplayName is the name others see in that place.
func (i *Interaction) DisplayName() string {
	switch {
	case i.Member != nil && i.Member.Nick != "":
		return i.Member.Nick
	case i.User.GlobalName != "":
		return i.User.GlobalName
	}
	return i.User.Name
}

// InstalledInGuild reports whether the application belongs to the guild, and
// not only to the user who brought it along.
func (i *Interaction) InstalledInGuild() bool {
	if i.GuildID == "" {
		return false
	}
	_, guild := i.Owners["0"]
	_, user := i.Owners["1"]
	return guild || !user
}

// ErrUnknownType says that an interaction is of a type made after this
// program. It can't be answered.
var ErrUnknownType = errors.New("unknown interaction type")

// Decode reads the raw JSON of an interaction. odd lists fields and types it
// does not know, for the log; they are no reason to fail. A type of
// interaction that is not known gives ErrUnknownType beside what was read.
func Decode(raw []byte) (i *Interaction, odd []string, err error) {
	d := decoder{}
	var w wireInteraction
	if err := d.object(raw, "", &w); err != nil {
		return nil, d.odd, fmt.Errorf("decode interaction: %w", err)
	}
	i = w.plain()
	if i.ID == "" || i.Token == "" {
		return nil, d.odd, errors.New("decode interaction: no id or no token")
	}
	switch i.Type {
	case TypePing:
	case TypeCommand, TypeAutocomplete:
		i.Command, i.Files, err = d.command(w.Data)
	case TypeComponent:
		i.Press, err = d.component(w.Data)
	case TypeForm:
		i.Form, i.Files, err = d.form(w.Data)
	default:
		err = fmt.Errorf("%w %d", ErrUnknownType, i.Type)
	}
	if err == nil && i.Type != TypePing && !isSnowflake(i.User.ID) {
		err = errors.New("decode interaction: nobody's")
	}
	return i, d.odd, err
}

type wireInteraction struct {
	ID            string            `json:"id"`
	ApplicationID string            `json:"application_id"`
	Type          int               `json:"type"`
	Token         string            `json:"token"`
	Version       json.RawMessage   `json:"version"`
	GuildID       *string           `json:"guild_id"`
	Guild         json.RawMessage   `json:"guild"`
	ChannelID     string            `json:"channel_id"`
	Channel       json.RawMessage   `json:"channel"`
	Member        *wireMember       `json:"member"`
	User          *wireUser         `json:"user"`
	Message       *wireMessage      `json:"message"`
	AppPermission bits              `json:"app_permissions"`
	Locale        string            `json:"locale"`
	GuildLocale   json.RawMessage   `json:"guild_locale"`
	Entitlements  json.RawMessage   `json:"entitlements"`
	Owners        map[string]string `json:"authorizing_integration_owners"`
	Context       *int              `json:"context"`
	FileLimit     int64             `json:"attachment_size_limit"`
	Data          json.RawMessage   `json:"data"`
}

type wireUser struct {
	ID         string  `json:"id"`
	Username   string  `json:"username"`
	GlobalName *string `json:"global_name"`
}

type wireMember struct {
	User        *wireUser `json:"user"`
	Nick        *string   `json:"nick"`
	Permissions bits      `json:"permissions"`
}

type wireMessage struct {
	Flags int `json:"flags"`
}

func (u *wireUser) plain() User {
	return User{ID: u.ID, Name: u.Username, GlobalName: deref(u.GlobalName)}
}

func (w *wireInteraction) plain() *Interaction {
	i := &Interaction{
		Type: w.Type, ID: w.ID, ApplicationID: w.ApplicationID, Token: w.Token,
		GuildID: deref(w.GuildID), ChannelID: w.ChannelID, Locale: w.Locale, Context: -1,
		Permissions: uint64(w.AppPermission), Owners: w.Owners, FileLimit: w.FileLimit,
		OnMessage: w.Message != nil,
	}
	if w.Context != nil {
		i.Context = *w.Context
	}
	if w.User != nil {
		i.User = w.User.plain()
	}
	if w.Member != nil {
		i.Member = &Member{Nick: deref(w.Member.Nick), Permissions: uint64(w.Member.Permissions)}
		if w.Member.User != nil {
			i.User = w.Member.User.plain()
		}
	}
	if w.Message != nil {
		i.MessageFlags = w.Message.Flags
	}
	return i
}

func deref(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}
