//! A figure that is the same all along something, or changes from station to station.

use super::field::{Field, station_of};
use super::key::{Key, KeyShape};
use crate::params::read::{Item, Reader};
use crate::params::{Dimension, codes};
use crate::units::Length;
use serde_json::{Value, json};

/// One value for the whole of something, or values at places along it.
#[derive(Clone, Debug, PartialEq)]
pub enum Varying<T> {
    /// Everywhere the same.
    Even(T),
    /// At places from 0 (where it begins) to 1 (where it ends).
    At(Vec<(f64, T)>),
}

impl<T: Copy> Varying<T> {
    /// The places with what is asked for there.
    pub fn places(&self) -> impl Iterator<Item = (f64, T)> + '_ {
        let (even, at) = match self {
            Varying::Even(value) => (Some((0.0, *value)), &[][..]),
            Varying::At(all) => (None, &all[..]),
        };
        even.into_iter().chain(at.iter().copied())
    }
}

impl Varying<Length> {
    /// The least that is asked for anywhere, and the most.
    pub fn range(&self) -> [Length; 2] {
        let from = [f64::INFINITY, f64::NEG_INFINITY].map(Length::mm);
        self.places().fold(from, |[least, most], (_, size)| [least.min(size), most.max(size)])
    }

    /// What is asked for where it ends.
    pub fn last(&self) -> Length {
        self.places().last().map_or(Length::mm(f64::NAN), |(_, size)| size)
    }
}

impl<T: Field + Copy> Field for Varying<T> {
    fn of(reader: &mut Reader, item: &Item<'_>, key: &Key) -> Option<Varying<T>> {
        let KeyShape::Varying(shape) = key.shape else { return None };
        if !item.is_list() {
            return T::of(reader, item, &key.as_figure()).map(Varying::Even);
        }
        let name = key.place().1;
        let items = reader.list(item, &key.line(name));
        if items.len() < 2 {
            let message = format!(
                "`{}` has too few stations ({}); at least two are needed.",
                item.key(),
                items.len()
            );
            let help = format!("Write {}, or {}.", key.line(name), shape.whole);
            reader.fault(codes::STATIONS, item.key(), message, help);
        }
        let keys = shape.keys();
        let one = |item: &Item<'_>| station_of(reader, item, &keys);
        Some(Varying::At(items.iter().filter_map(one).collect()))
    }
    fn stand_in() -> Option<Varying<T>> {
        T::stand_in().map(Varying::Even)
    }
    fn shown(&self, key: &Key) -> Value {
        let KeyShape::Varying(shape) = key.shape else { return Value::Null };
        let one = key.as_figure();
        match self {
            Varying::Even(value) => value.shown(&one),
            Varying::At(all) => all
                .iter()
                .map(|(at, value)| {
                    let name = format!("{}{}", shape.name, shape.figure.suffix);
                    json!({ "at_percent": at * 100.0, name: value.shown(&one) })
                })
                .collect(),
        }
    }
    fn dimension(&mut self, key: &Key, rest: &str) -> Option<Dimension<'_>> {
        match self {
            Varying::Even(value) => value.dimension(&key.as_figure(), rest),
            Varying::At(_) => None,
        }
    }
}
