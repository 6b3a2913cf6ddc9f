package discord

// Types of commands and of their options.
const (
	commandSlash = 1

	optionSub        = 1
	optionGroup      = 2
	optionString     = 3
	optionInteger    = 4
	optionBoolean    = 5
	optionUser       = 6
	optionChannel    = 7
	optionRole       = 8
	optionMention    = 9
	optionNumber     = 10
	optionAttachment = 11
)

const (
	maxName            = 32
	maxDescription     = 100
	maxOptions         = 25
	maxCommandText     = 8000
	maxSlashCommands   = 100
	contextGuild       = 0
	contextBotDM       = 1
	contextPrivate     = 2
	installGuild       = 0
	installUser        = 1
	defaultCommandType = commandSlash
)

// command is a slash command as it is registered, and the part of a registered
// one that we compare.
type command struct {
	Type             int               `json:"type,omitempty"`
	Name             string            `json:"name"`
	NameLocal        map[string]string `json:"name_localizations,omitempty"`
	Description      string            `json:"description"`
	DescriptionLocal map[string]string `json:"description_localizations,omitempty"`
	Options          []option          `json:"options,omitempty"`
	Contexts         []int             `json:"contexts,omitempty"`
	IntegrationTypes []int             `json:"integration_types,omitempty"`
	Permissions      *string           `json:"default_member_permissions,omitempty"`
	// AgeLimited is never set by us, only taken away.
	AgeLimited bool `json:"nsfw,omitempty"`
}

// option is an option, a subcommand or a group of them. We limit no lengths and
// no channels: what another program has set there is a difference.
type option struct {
	Type             int               `json:"type"`
	Name             string            `json:"name"`
	NameLocal        map[string]string `json:"name_localizations,omitempty"`
	Description      string            `json:"description"`
	DescriptionLocal map[string]string `json:"description_localizations,omitempty"`
	Required         bool              `json:"required,omitempty"`
	Autocomplete     bool              `json:"autocomplete,omitempty"`
	Choices          []choice          `json:"choices,omitempty"`
	MinValue         *float64          `json:"min_value,omitempty"`
	MaxValue         *float64          `json:"max_value,omitempty"`
	MinLength        *int              `json:"min_length,omitempty"`
	MaxLength        *int              `json:"max_length,omitempty"`
	ChannelTypes     []int             `json:"channel_types,omitempty"`
	FileTypes        []string          `json:"file_types,omitempty"`
	Options          []option          `json:"options,omitempty"`
}

// choice is one fixed value of an option. The value of a command that is not
// ours may be a number, so it is kept as any.
type choice struct {
	Name      string            `json:"name"`
	NameLocal map[string]string `json:"name_localizations,omitempty"`
	Value     any               `json:"value"`
}
