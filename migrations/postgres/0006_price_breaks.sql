-- Lower prices from a quantity on, as `50: 5.20; 200: 4.90`; null where there is one price for any.
alter table price_items add column breaks text;
