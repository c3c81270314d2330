//! The job sheet.
