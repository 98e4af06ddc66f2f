//! The HTTP interface, over real sockets.

#[cfg(test)]
#[path = "api"]
mod api {
    mod audit;
    mod bad_manifolds;
    mod bodies;
    mod catalogue;
    mod checks;
    mod customer_page;
    mod cut_plans;
    mod error_catalogue;
    mod fittings;
    mod joints;
    mod books {
        mod commands;
        mod customers;
        mod in_force;
        mod labour_factors;
        mod labour_models;
        mod logo;
        mod price_lists;
        mod price_sheets;
        mod service;
        mod shop;
        mod templates;
        mod workbooks;
    }
    mod flows;
    mod forming_profiles;
    mod harness;
    mod keys;
    mod layouts;
    mod linked;
    mod lists;
    mod memory;
    mod meta;
    mod periods;
    mod picky;
    mod problems;
    mod quotes;
    mod retries;
    mod rule_pages;
    mod rule_sets;
    mod sizing;
    mod stopping;
    mod test_routes;
    mod unit_systems;
    mod versions;
    mod webhooks;
}
