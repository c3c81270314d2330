//! The macros that declare keys: `keys!` for a table, `words!` for a choice.

/// Declares an enum of words: each value with its comment, which the maker reads too, and its word.
macro_rules! words {
    (
        $(#[$meta:meta])*
        pub enum $Name:ident {
            $($(#[doc = $says:literal])+ $Value:ident = $word:literal,)+
        }
    ) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum $Name {
            $($(#[doc = $says])+ $Value,)+
        }

        impl $Name {
            /// The word for it in the files.
            pub const fn name(self) -> &'static str {
                match self {
                    $($Name::$Value => $word,)+
                }
            }
        }

        $crate::params::keys::named! {
            $Name: $($Name::$Value, $word, concat!($($says),+);)+
        }
    };
}

/// Makes a type one of words: its values, their words and what each says.
macro_rules! named {
    ($Name:ty: $($value:expr, $word:expr, $says:expr;)+) => {
        impl $crate::params::keys::Named for $Name {
            const WORDS: &'static [$crate::params::keys::Word] =
                &[$($crate::params::keys::Word { name: $word, says: $says }),+];
            const VALUES: &'static [$Name] = &[$($value),+];
        }
    };
}

/// Declares a table of a file, or a part of one: a struct whose fields are keys.
macro_rules! keys {
    (
        $(#[$meta:meta])*
        $vis:vis struct $Name:ident {
            $($(#[doc = $says:literal])+ $field:ident: $Type:ty = $key:expr,)+
        }
    ) => {
        $(#[$meta])*
        $vis struct $Name {
            $($(#[doc = $says])+ pub $field: $Type,)+
        }

        impl $crate::params::keys::Keyed for $Name {
            const KEYS: &'static [$crate::params::keys::Key] =
                &[$($key.named(stringify!($field), concat!($($says),+))),+];

            fn read(
                reader: &mut $crate::params::read::Reader,
                at: &$crate::params::read::TomlTable<'_>,
            ) -> Option<$Name> {
                use $crate::params::keys::Field;
                let mut keys = Self::KEYS.iter();
                // All are read before any is asked for, so that every fault is told.
                $(let $field = keys.next().and_then(|key| <$Type as Field>::take(reader, at, key));)+
                Some($Name { $($field: $field?),+ })
            }

            fn echo(&self, out: &mut serde_json::Map<String, serde_json::Value>) {
                use $crate::params::keys::Field;
                let mut keys = Self::KEYS.iter();
                $(if let Some(key) = keys.next() { Field::echo(&self.$field, key, out); })+
            }

            fn dimension(&mut self, path: &str) -> Option<$crate::params::Dimension<'_>> {
                use $crate::params::keys::Field;
                let mut keys = Self::KEYS.iter();
                $(
                    let key = keys.next()?;
                    if let Some(rest) = key.under(path)
                        && let Some(found) = Field::dimension(&mut self.$field, key, rest)
                    {
                        return Some(found);
                    }
                )+
                None
            }
        }

        $crate::params::keys::field_of_part!($Name);
    };
}

/// Lets a struct be the value of another's field.
macro_rules! field_of_part {
    ($Name:ty) => {
        impl $crate::params::keys::Field for $Name {
            fn take(
                reader: &mut $crate::params::read::Reader,
                at: &$crate::params::read::TomlTable<'_>,
                key: &'static $crate::params::keys::Key,
            ) -> Option<$Name> {
                $crate::params::keys::Keyed::read(reader, &at.under(key.path))
            }

            fn of(
                reader: &mut $crate::params::read::Reader,
                item: &$crate::params::read::Item<'_>,
                _: &$crate::params::keys::Key,
            ) -> Option<$Name> {
                $crate::params::keys::Keyed::read(reader, &item.section())
            }

            fn stand_in() -> Option<$Name> {
                None
            }

            fn echo(
                &self,
                key: &$crate::params::keys::Key,
                out: &mut serde_json::Map<String, serde_json::Value>,
            ) {
                let echo = |out: &mut _| $crate::params::keys::Keyed::echo(self, out);
                $crate::params::keys::inside(key.path, out, echo);
            }

            fn shown(&self, _: &$crate::params::keys::Key) -> serde_json::Value {
                let mut out = serde_json::Map::new();
                $crate::params::keys::Keyed::echo(self, &mut out);
                out.into()
            }

            fn dimension(
                &mut self,
                _: &$crate::params::keys::Key,
                rest: &str,
            ) -> Option<$crate::params::Dimension<'_>> {
                $crate::params::keys::Keyed::dimension(self, rest)
            }
        }
    };
}

pub(in crate::params) use {field_of_part, keys, named, words};
