//! What the file of a rule needs.

pub(crate) use figures::FigureId;
pub(crate) use recipe::{
    Amount, Event, FermentKind, Given, Joins, KettleTime, MashStep, Method, Origin, Place, Thing, Vessel,
};
pub(crate) use syntax::vocabulary::{BlockKind, ClauseWord, Keyword};

pub(crate) use crate::cx::{DefinitionCx, FileCx, LogCx, RecipeCx};
pub(crate) use crate::edition::Edition;
pub(crate) use crate::finding::{Group, Severity};
pub(crate) use crate::hit::{At, Detail, Hits, Mend, Message, Texts};
pub(crate) use crate::level::{Grade, Level};
pub(crate) use crate::limits::Limit;
pub(crate) use crate::rule::{Check, Doc, Rule};
pub(crate) use crate::say::{Say, listed};
