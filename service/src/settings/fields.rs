//! The request of `brimline ask` as flags.

use brimline_openapi::operations::{BATCH, QUESTIONS, RECHECK};
use clap::builder::{PossibleValue, StringValueParser, TypedValueParser};
use clap::error::ErrorKind;
use clap::{Arg, ArgAction, ArgMatches, Args, Command, Error, FromArgMatches};

/// Where these flags stand in the help.
pub const HEADING: &str = "The request as flags, instead of a file";
/// The flag for fields that have none of their own.
const FIELD: &str = "field";

/// A flag, the field that it stands for by its dotted name, what it takes, and what it means.
struct Flag(&'static str, &'static str, &'static str, &'static str);

const FLAGS: &[Flag] = &[
    Flag("liquid", "liquid", "NAME", "What is used: a name, a CAS number or a named mixture"),
    Flag("part", "liquid.part", "PART", "A part of a mixture, such as \"70 mL ethanol\"; once for each"),
    Flag(
        "temperature",
        "temperature",
        "QUANTITY",
        "Of vapour-pressure: at which temperature, such as \"20 Cel\"",
    ),
    Flag("from", "from", "QUANTITY", "Of vapour-pressure: lowest temperature of a series"),
    Flag("to", "to", "QUANTITY", "Highest temperature of the series"),
    Flag("step", "step", "QUANTITY", "Step of the series, such as \"5 K\""),
    Flag("room-temperature", "room_temperature", "QUANTITY", "Temperature of the room, such as \"21 Cel\""),
    Flag("pressure", "pressure", "QUANTITY", "Air pressure, such as \"100.8 kPa\""),
    Flag("heated-to", "heated_to", "QUANTITY", "Temperature that the liquid is heated to"),
    Flag("heated-by", "heated_by", "HEATER", "What heats it, such as water_bath or hot_plate"),
    Flag("room-volume", "room.volume", "QUANTITY", "Volume of the room, such as \"190 m3\""),
    Flag("floor-area", "room.floor_area", "QUANTITY", "Floor of the room, such as \"70 m2\""),
    Flag("room-height", "room.height", "QUANTITY", "Height of the room"),
    Flag(
        "air-changes",
        "room.air_changes",
        "QUANTITY",
        "How often the air of the room is changed, such as \"3 /h\"",
    ),
    Flag("released", "released", "QUANTITY", "Of room-flammable-limit: how much liquid gets into the air"),
    Flag("vessel-capacity", "vessel.capacity", "QUANTITY", "Capacity of a vessel, such as \"100 mL\""),
    Flag("mouth-diameter", "vessel.mouth_diameter", "QUANTITY", "Diameter of its mouth, such as \"7 cm\""),
    Flag("vessels", "vessels", "NUMBER", "How many vessels there are"),
    Flag("use", "use", "USE", "What they are used for: open, heated or burnt"),
    Flag("duration", "duration", "QUANTITY", "How long, such as \"45 min\""),
    Flag("nearest-person", "nearest_person", "QUANTITY", "How far the nearest person is from the liquid"),
    Flag(
        "nearest-ignition",
        "nearest_ignition",
        "QUANTITY",
        "How far the nearest flame or spark is from the liquid",
    ),
    Flag("detail", "detail", "DETAIL", "How much is told: full or figures"),
];

/// The fields of a request that were given as flags, in the names of the query string.
#[derive(Debug, Clone, Default)]
pub struct Fields {
    pairs: Vec<(String, String)>,
}

impl Fields {
    /// Names and texts; empty where there is no such flag.
    #[must_use]
    pub fn pairs(&self) -> &[(String, String)] {
        &self.pairs
    }
}

impl Args for Fields {
    fn augment_args(command: Command) -> Command {
        let of = |name: &'static str, takes: &'static str, help: &'static str| {
            Arg::new(name)
                .long(name)
                .value_name(takes)
                .help(help)
                .help_heading(HEADING)
                .action(ArgAction::Append)
                // "-5 Cel" is a value and no flag.
                .allow_hyphen_values(takes == "QUANTITY")
        };
        let flags = FLAGS.iter().map(|Flag(name, _, takes, help)| of(name, takes, help));
        let other = of(FIELD, "NAME=VALUE", "Any field by its dotted name, such as room.height=\"3 m\"");
        command.args(flags).arg(other)
    }

    fn augment_args_for_update(command: Command) -> Command {
        Self::augment_args(command)
    }
}

impl FromArgMatches for Fields {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, Error> {
        let mut found = Self::default();
        found.update_from_arg_matches(matches)?;
        Ok(found)
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), Error> {
        for Flag(flag, field, ..) in FLAGS {
            let texts = matches.get_many::<String>(flag).into_iter().flatten();
            self.pairs.extend(texts.map(|text| ((*field).to_owned(), text.clone())));
        }
        for text in matches.get_many::<String>(FIELD).into_iter().flatten() {
            let Some((name, value)) = text.split_once('=').filter(|(name, _)| !name.is_empty()) else {
                let why = format!(
                    "`--{FIELD} {text}`: write a name and a value, such as --{FIELD} room.height=\"3 m\"\n"
                );
                return Err(Error::raw(ErrorKind::ValueValidation, why));
            };
            self.pairs.push((name.to_owned(), value.to_owned()));
        }
        Ok(())
    }
}

/// Any text as the name of a question: a wrong one is refused with all that is wrong, and the right ones are completed.
#[derive(Debug, Clone)]
pub struct QuestionName;

impl TypedValueParser for QuestionName {
    type Value = String;

    fn parse_ref(
        &self,
        command: &Command,
        argument: Option<&Arg>,
        value: &std::ffi::OsStr,
    ) -> Result<String, Error> {
        StringValueParser::new().parse_ref(command, argument, value)
    }

    fn possible_values(&self) -> Option<Box<dyn Iterator<Item = PossibleValue> + '_>> {
        let all = QUESTIONS.iter().chain([&RECHECK, &BATCH]);
        Some(Box::new(all.map(|question| PossibleValue::new(question.name))))
    }
}
