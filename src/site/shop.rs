//! What the pages say of the shop: its name, notices and procedures.

/// What the pages say of the shop.
#[derive(Debug, Clone, Copy, Default)]
pub struct ShopNotes<'a> {
    /// Its name.
    pub name: &'a str,
    /// The local-codes notice.
    pub local_codes: &'a str,
    /// Lock-out, in its legal order.
    pub lock_out: &'a [String],
    /// Re-energize.
    pub re_energize: &'a [String],
    /// Who can be called, and how.
    pub call: &'a [(String, String)],
    /// What is done before a call is closed.
    pub closing: &'a [String],
    /// What is done where the walk cannot go on.
    pub hand_over: &'a [String],
}
