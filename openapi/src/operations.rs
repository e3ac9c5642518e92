//! The one table of operations that router, command line, client and document read.

/// A question of the API: `POST /v1/{name}` and `GET /v1/{name}`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Question {
    /// Its name, the last part of its path.
    pub name: &'static str,
    /// What it answers, in one sentence.
    pub summary: &'static str,
    /// Name of the schema of its request.
    pub request: &'static str,
    /// Name of the schema of its reply.
    pub reply: &'static str,
    /// The formats it answers in.
    pub formats: &'static [Format],
}

/// A format of an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// `application/json`
    Json,
    /// `text/csv`
    Csv,
    /// `image/svg+xml`
    Svg,
    /// `text/html`
    Html,
    /// `text/markdown`
    Markdown,
}

impl Format {
    /// All formats, in the order in which they are offered.
    pub const ALL: [Self; 5] = [Self::Json, Self::Csv, Self::Svg, Self::Html, Self::Markdown];

    /// The word for `?format=`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Json => "json",
            Self::Csv => "csv",
            Self::Svg => "svg",
            Self::Html => "html",
            Self::Markdown => "md",
        }
    }

    /// The media type.
    #[must_use]
    pub const fn media_type(self) -> &'static str {
        match self {
            Self::Json => "application/json",
            Self::Csv => "text/csv",
            Self::Svg => "image/svg+xml",
            Self::Html => "text/html",
            Self::Markdown => "text/markdown",
        }
    }
}

/// Every question that is answered.
pub const QUESTIONS: &[Question] = &[
    Question {
        name: "vapour-pressure",
        summary: "How much vapour stands over a liquid at one or more temperatures",
        request: "VapourPressure",
        reply: "VapourPressureReply",
        formats: &[Format::Json, Format::Csv, Format::Svg],
    },
    Question {
        name: "flash-point-margin",
        summary: "How far a liquid is below its flash point, and what stands over it",
        request: "FlashPointMargin",
        reply: "FlashPointMarginReply",
        formats: &[Format::Json, Format::Svg],
    },
    Question {
        name: "room-flammable-limit",
        summary: "The lower flammable limit in a room and the amounts of liquid that reach shares of it",
        request: "RoomFlammableLimit",
        reply: "RoomFlammableLimitReply",
        formats: &[Format::Json, Format::Svg],
    },
    Question {
        name: "safe-fill",
        summary: "The largest fill of vessels at which every limit considered holds, and which limit binds",
        request: "SafeFill",
        reply: "SafeFillReply",
        formats: &[Format::Json, Format::Svg],
    },
    Question {
        name: "evaporation",
        summary: "How fast a liquid evaporates from an open surface, and how far its vapour can be lit",
        request: "Evaporation",
        reply: "EvaporationReply",
        formats: &[Format::Json],
    },
    Question {
        name: "exposure",
        summary: "What the nearest person breathes, against exposure limits",
        request: "Exposure",
        reply: "ExposureReply",
        formats: &[Format::Json],
    },
    Question {
        name: "spill",
        summary: "What a dropped container does: pool, reach of ignitable vapour, time to evaporate and to clear",
        request: "Spill",
        reply: "SpillReply",
        formats: &[Format::Json],
    },
    Question {
        name: "burning",
        summary: "How long, how hot and how tall a liquid burns from open vessels, how near people may be, what flashes at lighting",
        request: "Burning",
        reply: "BurningReply",
        formats: &[Format::Json, Format::Csv],
    },
    Question {
        name: "cooling",
        summary: "When a hot vessel may be touched or filled again, and whether it may crack",
        request: "Cooling",
        reply: "CoolingReply",
        formats: &[Format::Json, Format::Csv],
    },
    Question {
        name: "storage",
        summary: "How far a closed container is filled, how much is kept where, and beside what",
        request: "Storage",
        reply: "StorageReply",
        formats: &[Format::Json],
    },
    Question {
        name: "comparison",
        summary: "Several liquids for one use: a table, their order with the reason of each step, and what could not be compared",
        request: "Comparison",
        reply: "ComparisonReply",
        formats: &[Format::Json, Format::Csv],
    },
    Question {
        name: "flame-colour",
        summary: "What a salt shows in a flame, to the eye and to an instrument; which elements the peaks of a spectrum show",
        request: "FlameColour",
        reply: "FlameColourReply",
        formats: &[Format::Json, Format::Csv, Format::Svg],
    },
    Question {
        name: "practical",
        summary: "A whole plan in the order in which it is done: every check, the changes that mend it, what to set out and clear up",
        request: "Practical",
        reply: "PracticalReply",
        formats: &[Format::Json, Format::Html, Format::Markdown, Format::Svg],
    },
];

/// Many questions in one request: `POST /v1/batch`.
pub const BATCH: Question = Question {
    name: "batch",
    summary: "Many questions in one request, one a line, answered in the order of the lines",
    request: "BatchLine",
    reply: "BatchReplyLine",
    formats: &[],
};

/// What is asked of an earlier answer: `POST /v1/recheck` only. It is none of the questions and makes no checks of its own.
pub const RECHECK: Question = Question {
    name: "recheck",
    summary: "Whether today's version gives what an earlier answer said, and if not, which figures changed and why",
    request: "Recheck",
    reply: "Rechecked",
    formats: &[Format::Json],
};

/// The question of a name.
#[must_use]
pub fn question(name: &str) -> Option<&'static Question> {
    QUESTIONS.iter().find(|question| question.name == name)
}

/// A path that is only read: `GET`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Listing {
    /// Its path, as in the document.
    pub path: &'static str,
    /// Its operation id in the document.
    pub id: &'static str,
    /// What it holds, in one sentence.
    pub summary: &'static str,
    /// Name of the schema of its reply.
    pub reply: &'static str,
}

/// The catalogue's paths.
pub const LISTINGS: &[Listing] = &[
    Listing {
        path: "/v1/substances",
        id: "list_substances",
        summary: "The substances of the catalogue",
        reply: "SubstanceList",
    },
    Listing {
        path: "/v1/substances/{name}",
        id: "get_substance",
        summary: "One substance with every figure, its source and what it was chosen over",
        reply: "Substance",
    },
    Listing {
        path: "/v1/mixtures",
        id: "list_mixtures",
        summary: "The mixtures that are recognised by name",
        reply: "MixtureList",
    },
    Listing { path: "/v1/rules", id: "list_rules", summary: "The rules in force", reply: "RuleList" },
    Listing {
        path: "/v1/changes",
        id: "list_changes",
        summary: "What moved figures, by version, from the change log",
        reply: "ChangeList",
    },
    Listing {
        path: "/v1/units",
        id: "list_units",
        summary: "The units that requests may use",
        reply: "UnitList",
    },
];
