//! The declared keys as the file has them: tables within tables, whichever structs they fill.

use super::{Absent, Key, KeyRange, KeyShape};

/// A key or a table of a file.
pub(in crate::params) struct Node {
    /// Its name in its table.
    pub(in crate::params) name: &'static str,
    /// Its declaration; none for a table that only holds keys of other tables' structs.
    pub(in crate::params) key: Option<&'static Key>,
    /// What holds, in words, if the group of keys that it belongs to is left out together.
    pub(in crate::params) loose: Option<&'static str>,
    /// What stands in it, if it is a table or a list of them.
    pub(in crate::params) under: Option<Vec<Node>>,
}

impl Node {
    /// Whether that key stands in it.
    pub(in crate::params) fn has(&self, name: &str) -> bool {
        self.under.iter().flatten().any(|node| node.name == name)
    }

    /// Whether it must be there.
    pub(in crate::params) fn needed(&self) -> bool {
        match (self.key, &self.under) {
            _ if self.loose.is_some() => false,
            (Some(key), _) if matches!(key.absent, Absent::Needed) => true,
            (Some(Key { shape: KeyShape::Tables(..), .. }), _) | (_, None) => false,
            (_, Some(under)) => self.key.is_none() && under.iter().any(Node::needed),
        }
    }

    /// What to write if it isn't there: a section of the file, or a table within one.
    pub(in crate::params) fn lines(&self, section: bool) -> String {
        let Node { name, .. } = self;
        let leaf = |node: &Node| match (&node.under, node.key) {
            (None, Some(key)) => format!("{} = {}", node.name, key.example()),
            _ => node.lines(false),
        };
        let under = self.under.as_deref().unwrap_or_default();
        let mut lines: Vec<String> = match self.key {
            Some(key) if !key.such_as.is_empty() => vec![key.such_as.to_owned()],
            _ => under.iter().filter(|node| node.needed()).map(leaf).collect(),
        };
        if lines.is_empty() {
            lines.extend(under.first().map(leaf));
        }
        match (self.list(), section) {
            (Some(_), _) => format!("[[{name}]]\n{}", lines.join("\n")),
            (None, true) => format!("[{name}]\n{}", lines.join("\n")),
            (None, false) => format!("{name} = {{ {} }}", lines.join(", ")),
        }
    }

    /// How many tables the list must have; none if it is no list.
    pub(in crate::params) fn list(&self) -> Option<usize> {
        match self.key?.shape {
            KeyShape::Tables(_, least) => Some(least),
            _ => None,
        }
    }
}

/// The tree of some keys.
pub(in crate::params) fn tree(keys: &'static [Key]) -> Vec<Node> {
    let mut nodes = Vec::new();
    grow(keys, None, &mut nodes);
    nodes
}

fn grow(keys: &'static [Key], loose: Option<&'static str>, nodes: &mut Vec<Node>) {
    for key in keys {
        match key.shape {
            KeyShape::Part(inner) => {
                let loose = match key.absent {
                    Absent::Words(words) => Some(words),
                    Absent::Needed | Absent::Usual(_) => loose,
                };
                grow(inner, loose, table(nodes, key.path, None));
            }
            KeyShape::Table(inner) => {
                let (above, name) = key.place();
                grow(inner, loose, table(table(nodes, above, None), name, Some(key)));
            }
            _ => {
                let (above, name) = key.place();
                let under = match key.shape {
                    KeyShape::Tables(inner, _) => Some(tree(inner)),
                    _ => None,
                };
                table(nodes, above, None).push(Node { name, key: Some(key), loose, under });
            }
        }
    }
}

/// The nodes of a table of that name, which is there or is made.
fn table<'n>(
    nodes: &'n mut Vec<Node>,
    name: &'static str,
    key: Option<&'static Key>,
) -> &'n mut Vec<Node> {
    if name.is_empty() {
        return nodes;
    }
    let index = nodes.iter().position(|node| node.name == name && node.list().is_none());
    let index = index.unwrap_or_else(|| {
        nodes.push(Node { name, key: None, loose: None, under: None });
        nodes.len() - 1
    });
    let node = &mut nodes[index];
    if let Some(key) = key
        && !node.key.is_some_and(|key| matches!(key.absent, Absent::Needed))
    {
        node.key = Some(key);
    }
    node.under.get_or_insert_default()
}

/// All keys that `[give]` may name, with the range of each, as it is kept.
pub(in crate::params) fn giving(keys: &'static [Key]) -> Vec<(String, [f64; 2])> {
    let mut found = Vec::new();
    for key in keys {
        let under = |rest: &str| match key.path {
            "" => rest.to_owned(),
            path => format!("{path}.{rest}"),
        };
        match key.as_figure().shape {
            KeyShape::Part(inner) | KeyShape::Table(inner) => {
                found.extend(giving(inner).into_iter().map(|(rest, room)| (under(&rest), room)));
            }
            KeyShape::Figure(figure, KeyRange { least, most }) if key.gives => {
                found.push((
                    key.path.to_owned(),
                    [least, most].map(|figure_of| figure_of / figure.per),
                ));
            }
            KeyShape::Stations(size, KeyRange { least, most }) if key.gives => {
                found.push((key.path.to_owned(), [least, most]));
                found.push((format!("{}[1].{size}", key.path), [least, most]));
            }
            _ => {}
        }
    }
    found
}
